// Renews the page once the server has made it anew; where the server is gone it says so, and keeps what it shows.

const told = document.getElementById("told");
let renewing = false;
let again = false;

function say(text) {
  const line = document.createElement("p");
  line.textContent = text;
  told.replaceChildren(line);
}

/** Take over what the server shows now, where it is something else; what has the focus keeps it. */
async function renew() {
  if (renewing) { again = true; return; }
  renewing = true;
  try {
    do {
      again = false;
      const answer = await fetch(location.pathname, { redirect: "error" });
      if (!answer.ok) throw new Error(answer.statusText);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const place of ["#told", "main"]) {
        const here = document.querySelector(place);
        const there = page.querySelector(place);
        if (here.innerHTML !== there.innerHTML) here.replaceChildren(...document.adoptNode(there).childNodes);
      }
    } while (again);
  } catch {
    say(told.dataset.lost);
  }
  renewing = false;
}

const news = new EventSource("/news");
news.addEventListener("made", renew);
news.addEventListener("error", () => {
  say(told.dataset.lost);
  if (news.readyState === EventSource.CLOSED) setTimeout(() => location.reload(), 10_000); // refused: it asks once more
});
