"use strict";
// Taps on the floor: sent without leaving the page, kept on the tablet while the network is lost, sent once when it is
// back. Each tap carries an id of its own, so the book counts it once however often it arrives. Works without: then
// each tap is a plain form.

const KEPT = "wickturn-floor-taps";
const AGAIN_MS = 4000;
let sending = false;

function kept() {
  try {
    return JSON.parse(localStorage.getItem(KEPT)) || [];
  } catch {
    return [];
  }
}

function keep(taps) {
  localStorage.setItem(KEPT, JSON.stringify(taps));
  show(taps);
}

function show(taps, trouble = "") {
  const note = document.getElementById("unsent");
  if (!note) return;
  note.hidden = !taps.length && !trouble;
  const count = taps.length === 1 ? "1 tap is" : `${taps.length} taps are`;
  note.textContent = trouble || `No network: ${count} kept on this tablet and sent as soon as it is back.`;
}

// crypto.randomUUID is missing on a workshop network without a certificate.
function newTap() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

// The tap that waited carries the id it was made with, but today's token.
async function send(tap) {
  const body = new URLSearchParams(tap.fields);
  const token = document.querySelector("input[name=csrfmiddlewaretoken]");
  if (token) body.set("csrfmiddlewaretoken", token.value);
  return fetch(tap.action, { method: "POST", body, credentials: "same-origin" });
}

async function put(response) {
  const page = new DOMParser().parseFromString(await response.text(), "text/html");
  const main = page.querySelector("main");
  if (!main) return;
  const had = document.activeElement && document.activeElement.id;
  document.querySelector("main").replaceWith(main);
  document.title = page.title;
  if (response.url !== location.href) history.replaceState(null, "", response.url);
  if (window.htmx) window.htmx.process(main);
  const again = had && document.getElementById(had);
  const refusal = main.querySelector(".refusal");
  if (refusal) refusal.focus();
  else if (again) again.focus();
  show(kept());
}

async function flush() {
  if (sending) return;
  sending = true;
  try {
    let last = null;
    while (kept().length) {
      const [tap] = kept();
      const response = await send(tap);
      if (response.status >= 500) break;
      if (response.status === 403 || new URL(response.url).pathname.startsWith("/sign-in")) {
        show(kept(), `${kept().length} taps wait on this tablet: sign in again, and they are sent.`);
        return;
      }
      // Refused or done: either way the book has answered, and the page says what.
      keep(kept().filter((each) => each.fields.tap !== tap.fields.tap || each.fields.step !== tap.fields.step));
      last = response;
    }
    if (last) await put(last);
  } catch {
    // The network is away: what is kept stays kept.
    show(kept());
  } finally {
    sending = false;
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!("tap" in form.dataset) || event.defaultPrevented) return;
  event.preventDefault();
  if (form.dataset.sent) return;
  form.dataset.sent = "1";
  const fields = Object.fromEntries(new FormData(form, event.submitter));
  delete fields.csrfmiddlewaretoken;
  keep([...kept(), { action: form.action, fields }]);
  show([]);
  // Tapped once more before the page is new, it is another tap.
  for (const input of document.querySelectorAll("form[data-tap] input[name=tap]")) input.value = newTap();
  flush();
});

window.addEventListener("online", flush);
document.addEventListener("DOMContentLoaded", () => {
  show(kept());
  if (kept().length) flush();
  setInterval(() => kept().length && flush(), AGAIN_MS);
});
