"use strict";
// Enter goes to the next field of a sheet being typed in, Shift+Enter back; from the last one to the solid button.
// Without this script Enter presses the form's first button, which keeps what was typed and opens the sheet again.

document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.ctrlKey || event.metaKey || event.isComposing) return;
  if (!event.target.matches("form[data-typing-in] input.counted")) return;
  const form = event.target.form;
  const fields = [...form.querySelectorAll("input.counted")];
  const next = fields[fields.indexOf(event.target) + (event.shiftKey ? -1 : 1)];
  event.preventDefault();
  if (next) {
    next.focus();
    next.select();
  } else if (!event.shiftKey) {
    form.querySelector("button.solid").focus();
  }
});
