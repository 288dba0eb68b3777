"use strict";
// Order entry by keys. The form works without this script; with it each finished row is sent as it is, and the parts
// of the answering page marked data-live take the place of those here. A field one is typing in is never touched.
(() => {
  const form = document.getElementById("draft");
  if (!form) return;
  const byId = (id) => document.getElementById(id);
  const rows = () => [...form.querySelectorAll("tr[data-row]")];
  const rowOf = (element) => element && element.closest("tr[data-row]");
  const field = (row, name) => row.querySelector(`input[name=${name}]`);
  const HEADER = ["reference", "ship_by", "deliver_to", "notes", "order_discount", "order_discount_reason"];

  // --- keeping what is typed

  let sending = false, blocked = false, leaving = false, owed = false, unshown = false;
  let failed = null, wait = 1000, timer = 0;
  let afterwards = [];

  function contents() {
    const data = new URLSearchParams(new FormData(form));
    for (const name of ["version", "csrfmiddlewaretoken", "paste"]) data.delete(name);
    return data.toString();
  }
  let kept = contents();

  function say(words) {
    byId("saved").textContent = words;
    byId("saved").classList.add("unsaved");
  }

  async function post(url, text, version, extra = []) {
    const body = new URLSearchParams(text);
    for (const [name, value] of [["version", version], ...extra]) body.set(name, value);
    const key = document.cookie.match(/csrftoken=([^;]+)/);
    const headers = { "X-Draft": "1", "X-CSRFToken": key ? key[1] : form.elements.csrfmiddlewaretoken.value };
    const response = await fetch(url, { method: "POST", body, headers });
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    // Anything but the draft's page is a sign-in page or an error of the server: what was typed stays here.
    if (!page.getElementById("draft")) throw new Error(response.status < 500 ? "sign in" : "server");
    return { page, refused: response.status === 422 };
  }

  // Refused as a whole, or standing against another hand's rows: what is typed here lies nowhere else.
  const isKept = (page) => !page.querySelector("#row-errors > *, #both > *");

  async function save(force = false) {
    clearTimeout(timer);
    if (blocked) return;
    if (sending) { owed = true; return; }
    if (!failed && !force && contents() === kept) return;
    // What got lost on the way is sent again just as it was: the server knows it, and nobody is told of a stranger.
    const sent = failed || { text: contents(), version: form.elements.version.value };
    sending = true;
    try {
      const { page } = await post(form.action, sent.text, sent.version);
      failed = null;
      wait = 1000;
      if (isKept(page)) kept = sent.text;
      take(page, new URLSearchParams(sent.text));
    } catch (error) {
      failed = sent;
      say(error.message === "sign in" ? "Not saved: sign in again in another window; this page goes on by itself."
        : "Not saved: no line to the book. Trying again; keep this page open.");
      timer = setTimeout(save, wait);
      wait = Math.min(wait * 2, 30000);
    }
    sending = false;
    if (failed) return;
    for (const next of afterwards.splice(0)) next();
    if (owed) { owed = false; save(); }
  }

  // A button that changes the rows themselves: its answer replaces them all.
  async function act(button) {
    if (sending) { afterwards.push(() => act(button)); return; }
    sending = true;
    const extra = button.name ? [[button.name, button.value]] : [["paste", form.elements.paste.value]];
    try {
      const { page, refused } = await post(button.getAttribute("formaction") || form.action, contents(), form.elements.version.value, extra);
      if (!refused && !button.name) form.elements.paste.value = "";
      if (!refused) form.querySelector("details.paste").open = false;
      if (!page.querySelector("#both > *")) byId("rows").replaceChildren(...page.getElementById("rows").childNodes);
      byId("messages").replaceWith(page.getElementById("messages"));
      list.upgrade();
      if (isKept(page)) kept = contents();
      take(page, new URLSearchParams(contents()));
      focusOn(rows().find((row) => row.classList.contains("doubt")) || blankRow());
    } catch {
      say("Not done: no line to the book. Press the button again in a moment.");
    }
    sending = false;
    for (const next of afterwards.splice(0)) next();
  }

  // --- taking the answer

  function take(page, sent) {
    form.elements.version.value = page.getElementById("version").value;
    unshown = false;
    const active = rowOf(document.activeElement);
    const theirs = [...page.querySelectorAll("tr[data-row]")];
    const codes = sent.getAll("code"), pairs = sent.getAll("pairs");
    rows().forEach((row, n) => {
      const answer = theirs[n];
      if (!answer || codes[n] === undefined) return;
      const same = field(row, "code").value === codes[n] && field(row, "pairs").value === pairs[n];
      // A row being typed is not called wrong before it is left.
      if (!same || (row === active && answer.classList.contains("doubt"))) {
        unshown = true;
        answer.remove();
        return;
      }
      row.className = answer.className;
      for (const name of ["code", "pairs", "line"]) {
        const here = field(row, name), there = field(answer, name);
        if (here !== document.activeElement) here.value = there.value;
        here.toggleAttribute("aria-invalid", false);
        if (there.hasAttribute("aria-invalid")) here.setAttribute("aria-invalid", "true");
      }
    });
    for (const part of page.querySelectorAll("[data-live]")) {
      const here = byId(part.id);
      if (here && here.innerHTML !== part.innerHTML) here.replaceChildren(...part.childNodes);
    }
    byId("saved").classList.remove("unsaved");
    takeHeader(page);
    blocked = byId("both").childElementCount > 0;
    if (blocked) byId("saved").classList.add("unsaved");
  }

  function takeHeader(page) {
    for (const name of HEADER) {
      const here = form.elements[name], there = page.querySelector(`#draft [name=${name}]`);
      const mine = here.closest(".field");
      mine.querySelectorAll(".errorlist").forEach((errors) => errors.remove());
      mine.append(...there.closest(".field").querySelectorAll(".errorlist"));
      here.toggleAttribute("aria-invalid", false);
      if (there.getAttribute("aria-invalid")) here.setAttribute("aria-invalid", "true");
    }
  }

  // --- rows

  function blankRow() {
    return rows().find((row) => !field(row, "code").value && !field(row, "pairs").value) || addRow();
  }

  function addRow() {
    const last = rows().at(-1), row = last.cloneNode(true), n = rows().length;
    row.dataset.row = n;
    row.className = "";
    for (const element of row.querySelectorAll("[id]")) element.id = element.id.replace(/^r\d+-/, `r${n}-`);
    for (const cell of row.querySelectorAll("[data-live]")) cell.replaceChildren();
    row.querySelectorAll(".candles").forEach((other) => other.remove());
    for (const input of row.querySelectorAll("input")) {
      input.value = "";
      input.toggleAttribute("aria-invalid", false);
      if (input.type === "hidden") continue;
      input.setAttribute("aria-describedby", `r${n}-said`);
      input.setAttribute("aria-label", input.getAttribute("aria-label").replace(/\d+/, n + 1));
    }
    last.after(row);
    return row;
  }

  function focusOn(row, name = "code") {
    field(row, name).focus();
    field(row, name).select();
  }

  function step(input, by) {
    const next = rows()[rows().indexOf(rowOf(input)) + by];
    if (next) focusOn(next, input.name);
  }

  function finishRow(input) {
    const all = rows(), next = all[all.indexOf(rowOf(input)) + 1];
    focusOn(next || addRow());
    save();
  }

  const list = new CandleList(form, [...form.querySelectorAll("#catalogue option")]);

  // --- keys

  function enter(input) {
    if (input.name === "pairs") { finishRow(input); return; }
    const taken = list.take(), row = rowOf(input);
    if (!taken && !input.value.trim() && !field(row, "pairs").value) form.querySelector("button.solid").focus();
    else if (!taken && /\S\s+\S*\d/.test(input.value) && !field(row, "pairs").value) finishRow(input);
    else focusOn(row, "pairs");
  }

  form.addEventListener("keydown", (event) => {
    const input = event.target;
    if (!input.matches("input.code, input.pairs") || event.isComposing || event.ctrlKey || event.metaKey) return;
    const down = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (event.key === "Enter") { event.preventDefault(); enter(input); }
    else if (down) { event.preventDefault(); if (list.owner) list.choose(list.chosen + down); else step(input, down); }
    else if (event.key === "Escape") { if (list.owner) list.close(); else input.value = input.dataset.before || ""; }
    else if (event.key === "Tab" && !event.shiftKey) list.take();
  });
  form.addEventListener("input", (event) => { if (event.target.matches("input.code")) list.open(event.target); });
  form.addEventListener("focusin", (event) => { if (rowOf(event.target)) event.target.dataset.before = event.target.value; });
  form.addEventListener("focusout", (event) => {
    if (event.target.name === "code") list.close();
    const row = rowOf(event.target);
    if (!row || row !== rowOf(event.relatedTarget)) setTimeout(() => save(unshown));
  });
  form.addEventListener("candle", (event) => focusOn(rowOf(event.target), "pairs"));
  form.addEventListener("paste", (event) => {
    const text = event.clipboardData.getData("text");
    if (!event.target.matches("input.code, input.pairs") || !/[\n\t]/.test(text.trim())) return;
    event.preventDefault();
    form.elements.paste.value = text;
    act(form.querySelector("details.paste button"));
  });

  form.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (!button || ["over", "merge"].includes(button.name)) { leaving = true; return; }
    if (button.classList.contains("solid")) {
      if (!sending) { leaving = true; return; }
      event.preventDefault();
      afterwards.push(() => form.requestSubmit(button));
      return;
    }
    event.preventDefault();
    if (button.name === "more") { for (let n = 0; n < 10; n += 1) addRow(); focusOn(blankRow()); }
    else if (button.name === "pick") pick(button);
    else if (["strike", "fill"].includes(button.name) || button.closest("details.paste")) act(button);
    else save(true);
  });

  function pick(button) {
    const row = rowOf(button);
    field(row, "code").value = button.value.split(":")[1];
    focusOn(row, "pairs");
    if (field(row, "pairs").value) finishRow(field(row, "pairs"));
  }

  window.addEventListener("online", () => save());
  window.addEventListener("beforeunload", (event) => { if (!leaving && contents() !== kept) event.preventDefault(); });
  window.addEventListener("pageshow", (event) => { leaving = false; if (event.persisted && contents() === kept) location.reload(); });
})();
