"use strict";
// What every page has; each page works without it.

// A form is sent once: a double click makes one order. Given back after a while, in case the line was down, and when
// the page is taken out of the back/forward cache.
const PATIENCE_MS = 8000;

function giveBack(form) {
  delete form.dataset.sent;
  for (const button of form.querySelectorAll("[aria-disabled=true]")) button.removeAttribute("aria-disabled");
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  // htmx has stopped the event by now and counts its own requests.
  if (event.defaultPrevented || form.method !== "post" || "again" in form.dataset) return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "1";
  if (event.submitter) event.submitter.setAttribute("aria-disabled", "true");
  setTimeout(() => giveBack(form), PATIENCE_MS);
});

window.addEventListener("pageshow", (event) => {
  if (event.persisted) document.querySelectorAll("form[data-sent]").forEach(giveBack);
});

// Ctrl+Enter presses the solid button of the form one is in, or of the page's first form that asks for it.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !(event.ctrlKey || event.metaKey)) return;
  const form = event.target.closest("form[data-ctrl-enter]") || document.querySelector("form[data-ctrl-enter]");
  if (!form) return;
  const button = [...form.elements].find((element) => element.matches("button.solid"));
  event.preventDefault();
  if (button && !button.disabled) form.requestSubmit(button);
});

// A table wider than the page scrolls within its own region, and only then does the keyboard stop there.
function markScrolling() {
  for (const region of document.querySelectorAll(".scroll")) {
    const wide = region.scrollWidth > region.clientWidth + 1;
    const marks = { tabindex: "0", role: "region", "aria-label": region.dataset.label || "Table" };
    for (const [name, value] of Object.entries(marks)) {
      if (wide) region.setAttribute(name, value);
      else region.removeAttribute(name);
    }
  }
}

// On a phone the rail is a row pushed sideways: it opens at the place one is in.
function showPlace() {
  const here = document.querySelector(".rail nav [aria-current]");
  if (!here) return;
  const nav = here.closest("nav");
  nav.scrollLeft += here.getBoundingClientRect().left - nav.getBoundingClientRect().left - 40;
}

document.addEventListener("DOMContentLoaded", () => {
  markScrolling();
  showPlace();
  const refusal = document.querySelector(".refusal");
  if (refusal) refusal.focus();
});
window.addEventListener("resize", markScrolling);
document.addEventListener("htmx:afterSettle", markScrolling);
