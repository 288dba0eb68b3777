"use strict";
// The candles that fit what is typed, listed under the field: a combobox over the page's own datalist, so that it
// answers at once and needs no line to the book.
class CandleList {
  constructor(form, options) {
    this.form = form;
    this.candles = options.map((option) => ({
      code: option.value, name: option.textContent, low: option.textContent.toLowerCase(),
    }));
    this.chosen = 0;
    this.owner = null;
    this.box = document.createElement("ul");
    Object.assign(this.box, { id: "candles", className: "candles", hidden: true });
    this.box.setAttribute("role", "listbox");
    this.box.setAttribute("aria-label", "Candles that fit");
    // Pressed, not clicked: the field would lose the focus, and the list with it, before the click.
    this.box.addEventListener("mousedown", (event) => this.press(event));
    form.append(this.box);
    this.upgrade();
  }

  // Fields that still have the browser's own list get this one instead.
  upgrade() {
    const marks = { role: "combobox", "aria-autocomplete": "list", "aria-expanded": "false", "aria-controls": "candles" };
    for (const input of this.form.querySelectorAll("input.code[list]")) {
      input.removeAttribute("list");
      for (const [name, value] of Object.entries(marks)) input.setAttribute(name, value);
    }
  }

  // Codes that begin so, then names that hold every word somewhere ("st 18" finds "Stearin white dinner 180 x 20").
  fitting(text) {
    const words = text.trim().toLowerCase().split(/\s+/).filter(Boolean);
    if (!words.length) return [];
    const start = words.join(" ").toUpperCase();
    const byCode = this.candles.filter((candle) => candle.code.startsWith(start));
    const byName = this.candles.filter(
      (candle) => !byCode.includes(candle) && words.every((word) => candle.low.includes(word)));
    return [...byCode, ...byName].slice(0, 8);
  }

  open(input) {
    const found = this.fitting(input.value);
    this.close();
    if (!found.length) return;
    this.box.replaceChildren(...found.map((candle, n) => {
      const item = document.createElement("li"), code = document.createElement("b");
      item.id = `candle-${n}`;
      item.dataset.code = code.textContent = candle.code;
      item.setAttribute("role", "option");
      item.append(code, ` ${candle.name}`);
      return item;
    }));
    this.owner = input;
    input.parentElement.append(this.box);
    this.box.hidden = false;
    input.setAttribute("aria-expanded", "true");
    this.choose(0);
  }

  choose(n) {
    const items = [...this.box.children];
    this.chosen = (n + items.length) % items.length;
    items.forEach((item, at) => item.setAttribute("aria-selected", String(at === this.chosen)));
    this.owner.setAttribute("aria-activedescendant", `candle-${this.chosen}`);
  }

  close() {
    if (!this.owner) return;
    this.box.hidden = true;
    this.form.append(this.box);
    this.owner.setAttribute("aria-expanded", "false");
    this.owner.removeAttribute("aria-activedescendant");
    this.owner = null;
  }

  // Put the chosen candle's code into the field. False where no list is open.
  take() {
    if (!this.owner) return false;
    this.owner.value = this.box.children[this.chosen].dataset.code;
    this.close();
    return true;
  }

  press(event) {
    const item = event.target.closest("li"), input = this.owner;
    event.preventDefault();
    if (!item) return;
    this.choose([...this.box.children].indexOf(item));
    this.take();
    input.dispatchEvent(new Event("candle", { bubbles: true }));
  }
}
