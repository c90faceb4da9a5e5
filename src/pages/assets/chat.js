// The page works without this. With it, a message is sent without leaving the page, and one that finds no signal waits
// here under its key: sending it again is the same message, however often.
"use strict";

const place = () => document.getElementById("latest") ?? document.getElementById("write");
const toEnd = () => place()?.scrollIntoView({ block: place().id === "latest" ? "start" : "end" });

function grow(area) {
  area.style.height = "auto";
  area.style.height = `${Math.min(area.scrollHeight + 2, window.innerHeight / 3)}px`;
}

function show(html) {
  const next = new DOMParser().parseFromString(html, "text/html");
  const main = next.getElementById("book");
  if (!main) throw new Error("not a page of the book");
  document.getElementById("book").replaceWith(main);
  document.title = next.title;
  ready();
}

async function send(event) {
  event.preventDefault();
  const form = event.target;
  if (form.dataset.busy) return;
  form.dataset.busy = "yes";
  const button = form.querySelector("button");
  button.disabled = true;
  try {
    const answer = await fetch(form.action, {
      method: "POST",
      body: new URLSearchParams(new FormData(form)),
      signal: AbortSignal.timeout(20000),
    });
    show(await answer.text());
  } catch {
    const notice = document.getElementById("notice");
    if (notice) notice.textContent = "No answer came: the signal may be gone. Your words are still here; send them again.";
    button.disabled = false;
    delete form.dataset.busy;
  }
}

function ready() {
  for (const form of document.querySelectorAll('form[action="/say"]')) form.addEventListener("submit", send);
  const area = document.getElementById("text");
  if (area) {
    area.addEventListener("input", () => grow(area));
    // With a keyboard Enter sends; on a phone it makes a new line, since a glove hits it by accident.
    area.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && !event.shiftKey && matchMedia("(pointer: fine)").matches) {
        event.preventDefault();
        area.form.requestSubmit();
      }
    });
    grow(area);
  }
  toEnd();
}

ready();
