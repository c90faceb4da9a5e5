// The page works without this. With it, a message goes into a list on the phone first and leaves it when the book has
// answered: with no signal it waits, under a key of its own, and is one message however often it is sent.
"use strict";

const page = (id) => document.getElementById(id);
const root = document.documentElement;
root.classList.add("js");

// The list. Without a store (a private window) messages live as long as the page.
const list = (() => {
  const kept = new Map();
  const opened = new Promise((resolve) => {
    try {
      const open = indexedDB.open("tallyhand", 1);
      open.onupgradeneeded = () => open.result.createObjectStore("waiting", { keyPath: "key" });
      open.onsuccess = () => resolve(open.result);
      open.onerror = () => resolve(null);
    } catch { resolve(null); }
  });
  const on = async (mode, work) => {
    const db = await opened;
    if (!db) return null;
    return new Promise((resolve, reject) => {
      const asked = work(db.transaction("waiting", mode).objectStore("waiting"));
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
  };
  return {
    async put(item) { kept.set(item.key, item); await on("readwrite", (s) => s.put(item)).catch(() => null); },
    async remove(key) { kept.delete(key); await on("readwrite", (s) => s.delete(key)).catch(() => null); },
    async all() {
      const stored = await on("readonly", (s) => s.getAll()).catch(() => null);
      for (const item of stored ?? []) kept.set(item.key, item);
      return [...kept.values()].filter((item) => item.who === who()).sort((a, b) => a.at - b.at);
    },
  };
})();

const who = () => page("talk")?.dataset.who ?? "";
const token = () => document.querySelector('#write input[name="form"]')?.value ?? "";
const tell = (words) => { const notice = page("notice"); if (notice) notice.textContent = words; };

function freshKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return "p" + Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function toEnd() {
  const last = document.querySelector("#waiting article:last-child") ?? page("latest") ?? page("write");
  last?.scrollIntoView({ block: last.id === "latest" ? "start" : "end" });
}

// Draws what waits.
async function draw() {
  const box = page("waiting");
  if (!box) return;
  const items = await list.all();
  box.replaceChildren(...items.map((item) => {
    const article = document.createElement("article");
    const tag = document.createElement("p");
    const span = document.createElement("span");
    tag.className = "tag";
    span.textContent = [item.text, ...item.files.map((file) => file.name)].filter(Boolean).join(" + ");
    tag.append(span);
    const note = document.createElement("p");
    note.className = "answer";
    note.textContent = item.tried ? "waits for a signal" : "on its way";
    article.append(tag, note);
    return article;
  }));
}

// A choice was pressed: what has the focus is about to go.
let pressed = false;

// Takes the newest talk over from the server, leaves the line that is being written alone.
async function refresh(scroll) {
  if (!page("talk")?.hasAttribute("data-newest")) return;
  const answer = await fetch("/", { headers: { accept: "text/html" }, signal: AbortSignal.timeout(15000) });
  if (answer.status === 401) { location.reload(); return; }
  if (!answer.ok) return;
  const next = new DOMParser().parseFromString(await answer.text(), "text/html");
  const talk = next.getElementById("talk");
  if (!talk) return;
  // What is under a thumb stays where it is when nothing is new.
  if (talk.textContent !== page("talk").textContent) {
    const held = pressed || page("talk").contains(document.activeElement);
    pressed = false;
    page("talk").replaceWith(talk);
    const latest = page("latest");
    // A key that pressed a choice goes on from the answer, not from the head of the page; and who listens hears the answer.
    if (held) latest?.focus({ preventScroll: true });
    page("spoken").textContent = latest ? [...latest.querySelectorAll(".answer, .quote")].map((part) => part.innerText).join("\n") : "";
  }
  const fresh = next.querySelector('#write input[name="form"]');
  const own = document.querySelector('#write input[name="form"]');
  if (fresh && own) own.value = fresh.value;
  if (talk.isConnected) hook(talk);
  if (scroll) toEnd();
}

let sending = false;
let later = 0;
let wait = 2000;

// Sends what waits, oldest first; stops at the first that finds no signal and tries again by itself.
async function flush() {
  if (sending) return;
  sending = true;
  clearTimeout(later);
  try {
    for (const item of await list.all()) {
      if (!(await send(item))) return;
      wait = 2000;
    }
  } finally { sending = false; }
}

async function send(item) {
  const body = new FormData();
  body.set("text", item.text);
  body.set("key", item.key);
  body.set("form", token());
  body.set("waited", String(Math.max(0, Math.round((Date.now() - item.at) / 1000))));
  for (const file of item.files) body.append("file", file.blob, file.name);
  let answer;
  try {
    answer = await fetch("/say", { method: "POST", headers: { accept: "application/json" }, body, signal: AbortSignal.timeout(60000) });
  } catch {
    return putOff(item, "No signal: your words wait here and go by themselves.");
  }
  if (answer.ok) {
    await list.remove(item.key);
    tell("");
    await refresh(false).catch(() => null);
    await draw();
    toEnd();
    return true;
  }
  if (answer.status === 401) return putOff(item, "This phone is not signed in any more. Your words wait here until it is.");
  if (answer.status === 403) {
    await refresh(false).catch(() => null);
    return putOff(item, "Once more in a moment.");
  }
  if (answer.status >= 500 || answer.status === 429) return putOff(item, "The book is busy. Your words wait here and go by themselves.");
  // Refused for good: the words go back to where they can be changed.
  await list.remove(item.key);
  const area = page("text");
  if (area && !area.value) area.value = item.text;
  const said = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("#notice, main p");
  tell(said?.textContent || "That was not taken. Change it and send it again.");
  await draw();
  return true;
}

async function putOff(item, words) {
  item.tried = true;
  await list.put(item);
  await draw();
  tell(words);
  toEnd();
  later = setTimeout(flush, wait);
  wait = Math.min(wait * 2, 30000);
  return false;
}

async function say(text, files) {
  if (!text.trim() && !files.length) return;
  await list.put({ key: freshKey(), who: who(), text, files, at: Date.now(), tried: false });
  await draw();
  toEnd();
  flush();
}

// Forms inside the talk: choices and undo.
function hook(within) {
  for (const form of within.querySelectorAll('form[action="/say"]')) {
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      pressed = true;
      form.querySelector("button").disabled = true;
      say(form.elements.text.value, []);
    });
  }
}

function grow(area) {
  area.style.height = "auto";
  area.style.height = `${Math.min(area.scrollHeight + 2, window.innerHeight / 3)}px`;
}

function writing() {
  const form = page("write");
  if (!form) return;
  const area = page("text"), photo = page("photo"), enclosed = page("enclosed");
  const fits = 20 * 1024 * 1024;
  photo.addEventListener("change", () => {
    const file = photo.files[0];
    enclosed.textContent = !file ? "" : file.size > fits ? "That photo is over 20 MB: send a smaller one." : `With it: ${file.name}`;
    if (file && file.size > fits) photo.value = "";
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const files = [...photo.files].map((file) => ({ name: file.name, blob: file }));
    say(area.value, files);
    form.reset();
    enclosed.textContent = "";
    tell("");
    grow(area);
  });
  area.addEventListener("input", () => grow(area));
  // With a keyboard Enter sends; on a phone it makes a new line, since a glove hits it by accident.
  area.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !event.shiftKey && !matchMedia("(pointer: coarse)").matches) {
      event.preventDefault();
      form.requestSubmit();
    }
  });
  grow(area);
  recording(page("record"), enclosed);
}

// Tap to record, tap again to send.
function recording(button, enclosed) {
  const kinds = ["audio/webm;codecs=opus", "audio/mp4", "audio/ogg;codecs=opus"];
  const kind = window.MediaRecorder && kinds.find((kind) => MediaRecorder.isTypeSupported(kind));
  if (!kind || !navigator.mediaDevices) { button.classList.remove("needs-js"); button.hidden = true; return; }
  let recorder = null;
  const shown = (on) => {
    button.classList.toggle("on", on);
    button.setAttribute("aria-pressed", String(on));
    button.querySelector(".unseen").textContent = on ? "Stop and send" : "Record a voice note";
  };
  button.addEventListener("click", async () => {
    if (recorder) { recorder.stop(); return; }
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: true });
    } catch { tell("The microphone is not allowed here. Type it, or allow the microphone for this page."); return; }
    const pieces = [];
    const began = Date.now();
    recorder = new MediaRecorder(stream, { mimeType: kind });
    const clock = setInterval(() => {
      const seconds = Math.round((Date.now() - began) / 1000);
      enclosed.textContent = `Listening, ${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}. Tap again to send.`;
      if (seconds >= 180) recorder?.stop();
    }, 250);
    recorder.ondataavailable = (event) => event.data.size && pieces.push(event.data);
    recorder.onstop = () => {
      clearInterval(clock);
      stream.getTracks().forEach((track) => track.stop());
      recorder = null;
      shown(false);
      enclosed.textContent = "";
      const type = kind.split(";")[0];
      const blob = new Blob(pieces, { type });
      const name = `voice note.${type === "audio/mp4" ? "m4a" : type.split("/")[1]}`;
      if (blob.size) say("", [{ name, blob }]);
    };
    recorder.start();
    shown(true);
  });
}

// Other phones of the account: the server says when something new is in the book.
function listen() {
  if (!page("talk")?.hasAttribute("data-newest") || !window.EventSource) return;
  const live = new EventSource("/live");
  let timer = 0;
  // A browser tries again by itself after a break, but not after every kind of failure.
  live.onerror = () => { if (live.readyState === EventSource.CLOSED) setTimeout(listen, 5000); };
  // What was said while nobody listened.
  live.onopen = () => { if (!sending) refresh(false).catch(() => null); };
  live.addEventListener("said", () => {
    clearTimeout(timer);
    timer = setTimeout(() => { if (!sending) refresh(false).catch(() => null); }, 150);
  });
}

hook(page("talk") ?? document);
writing();
toEnd();
draw().then(flush);
listen();
addEventListener("online", flush);
document.addEventListener("visibilitychange", () => { if (!document.hidden) { flush(); refresh(false).catch(() => null); } });
if ("serviceWorker" in navigator) navigator.serviceWorker.register("/sw.js").catch(() => null);
