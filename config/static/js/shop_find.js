"use strict";
// Choosing the shop by keys: Enter takes the first of the list shown, arrows go through it. htmx renews the list.

document.addEventListener("keydown", (event) => {
  const search = document.getElementById("q");
  const buttons = [...document.querySelectorAll("#shops button[name=shop]")];
  const at = buttons.indexOf(document.activeElement);
  if (event.target === search && event.key === "Enter" && search.value.trim()) {
    const shown = document.querySelector("#shops form");
    // While the list is still that of fewer letters, Enter asks the server instead.
    if (!buttons.length || shown.dataset.typed !== search.value) return;
    event.preventDefault();
    shown.requestSubmit(buttons[0]);
  } else if (event.key === "ArrowDown" && (event.target === search || at >= 0)) {
    event.preventDefault();
    (buttons[at + 1] || buttons[0])?.focus();
  } else if (event.key === "ArrowUp" && at >= 0) {
    event.preventDefault();
    (at ? buttons[at - 1] : search).focus();
  }
});
