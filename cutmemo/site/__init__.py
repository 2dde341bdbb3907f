"""The site: phones and tablets of one crew on one memo, over their own network."""
