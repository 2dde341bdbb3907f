"""Makes the speech model: speech to train on, word graph, acoustic net, and measures of both.

``python -m recipe`` from the folder ``models`` lists the commands; README.md tells the way.
"""
