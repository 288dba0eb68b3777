"use strict";
// Counting off: the running sum while one types, one more pair by a tap, and the rest in one go. The page works without.

function grow(form) {
  const fields = [...form.querySelectorAll("[data-pairs]")];
  const hung = Number(form.dataset.hung);
  const tally = form.querySelector("[data-tally]");
  const number = (field) => (/^\s*\d+\s*$/.test(field.value) ? Number(field.value) : 0);
  const sum = () => fields.reduce((so_far, field) => so_far + number(field), 0);

  const rest = document.createElement("button");
  rest.type = "button";
  rest.className = "outline";
  rest.addEventListener("click", () => {
    const firsts = form.elements.firsts;
    firsts.value = String(number(firsts) + hung - sum());
    show();
    firsts.focus();
  });
  // The server offers the same where it had to ask; one offer is enough.
  for (const asked of form.querySelectorAll("[name=rest]")) asked.remove();
  form.querySelector(".running").append(rest);

  function show() {
    const counted = sum();
    const left = hung - counted;
    let words = `${counted} of ${hung} counted`;
    if (left < 0) words += `: ${-left} too many`;
    tally.textContent = words;
    rest.hidden = left <= 0;
    rest.textContent = left === 1 ? "The 1 left is a first" : `The ${left} left are firsts`;
  }

  for (const field of fields) {
    const more = document.createElement("button");
    more.type = "button";
    more.className = "outline one-more";
    more.textContent = "+1";
    const label = field.labels.length ? field.labels[0].firstChild.textContent.trim() : "";
    more.setAttribute("aria-label", `+1 ${label}`);
    more.addEventListener("click", () => {
      field.value = String(number(field) + 1);
      show();
    });
    field.after(more);
    field.addEventListener("input", show);
  }
  show();
}

document.addEventListener("DOMContentLoaded", () => document.querySelectorAll("form.count-off").forEach(grow));
