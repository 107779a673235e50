/* The rules table by keyboard, pointer and thumb. Without this file every cell is a link to a page of its own. */
(function () {
  "use strict";
  const editor = document.querySelector(".rules-editor");
  if (!editor) return;
  const table = editor.querySelector(".rules-table");
  const panel = editor.querySelector("#rules-panel");
  const trouble = editor.querySelector(".rules-trouble");
  const sieve = editor.querySelector("form.sieve");
  const csrf = editor.querySelector("[name=csrfmiddlewaretoken]").value;
  const stages = Array.from(table.tHead.rows[0].cells).slice(1).map((cell) => cell.dataset.stage);
  const setters = new Map(Array.from(editor.querySelectorAll("[data-level]")).map((one) => [one.dataset.level, one]));
  const PAGE = 10; /* rows a Page key moves */

  const byTarget = new Map();
  let chosen = new Set(); /* ids of cells, such as food:carrot@settle */
  let anchor = null; /* where a range began, and where the keyboard is: {target, column}; column 0 is the name */
  let active = null;

  /* Finding cells */
  const rowOf = (target) => byTarget.get(target);
  const idOf = (cell) => cell.parentNode.dataset.target + "@" + stages[cell.cellIndex - 1];
  const placeOf = (cell) => ({ target: cell.parentNode.dataset.target, column: cell.cellIndex });
  const cellAt = (place) => place && rowOf(place.target) && rowOf(place.target).cells[place.column];
  const focusOf = (cell) => (cell.cellIndex === 0 ? cell : cell.firstElementChild);
  function cellOf(id) {
    const mark = id.lastIndexOf("@");
    const row = rowOf(id.slice(0, mark));
    return row ? row.cells[stages.indexOf(id.slice(mark + 1)) + 1] : null;
  }
  const isHead = (row) => row.classList.contains("is-head");
  const isFolded = (row) => !isHead(row) && row.parentNode.classList.contains("is-folded");
  const isSeen = (row) => !row.hidden && !isFolded(row);
  const seenRows = () => Array.from(table.querySelectorAll("tbody tr")).filter(isSeen);
  const seenColumns = (row) => Array.from(row.cells).filter((cell) => !cell.hidden).map((cell) => cell.cellIndex);
  const stageColumns = () => seenColumns(table.tHead.rows[0]).filter((column) => column > 0);

  /* One row made ready: found by its target, out of the order of the Tab key, shown as the sieve says. */
  function prepare(row) {
    byTarget.set(row.dataset.target, row);
    const only = sieve.elements.stage.value;
    for (const cell of row.cells) {
      focusOf(cell).tabIndex = -1;
      if (cell.cellIndex > 0) {
        cell.setAttribute("aria-selected", String(chosen.has(idOf(cell))));
        cell.hidden = Boolean(only) && stages[cell.cellIndex - 1] !== only;
      }
    }
    if (isHead(row)) row.cells[0].setAttribute("aria-expanded", String(!row.parentNode.classList.contains("is-folded")));
  }

  /* Saying */
  const words = (name, counts) =>
    Object.entries(counts || {}).reduce((text, [mark, count]) => text.replace("%" + mark, count), editor.dataset[name]);
  const said = editor.querySelector(".rules-said");
  const state = editor.querySelector(".rules-state");
  function say(text) {
    said.textContent = text;
  }
  function complain(text, canRetry) {
    trouble.querySelector("p").textContent = text;
    trouble.querySelector("[data-do=retry]").hidden = !canRetry;
    trouble.hidden = false;
  }

  /* Choosing */
  function choose(ids) {
    const before = chosen;
    chosen = new Set(ids);
    for (const id of before) if (!chosen.has(id)) mark(id, false);
    for (const id of chosen) mark(id, true);
    state.textContent = chosen.size > 1 ? words("sayChosen", { n: chosen.size }) : "";
  }
  function mark(id, on) {
    const cell = cellOf(id);
    if (cell) cell.setAttribute("aria-selected", String(on));
  }
  function between(from, to) {
    const rows = seenRows();
    const ends = [from, to].map((place) => rows.indexOf(rowOf(place.target))).sort((a, b) => a - b);
    const whole = from.column === 0 || to.column === 0;
    const [low, high] = [from.column, to.column].sort((a, b) => a - b);
    const columns = stageColumns().filter((column) => whole || (column >= low && column <= high));
    return rows.slice(Math.max(0, ends[0]), ends[1] + 1).flatMap((row) => columns.map((column) => idOf(row.cells[column])));
  }
  function moveTo(cell, extend) {
    const last = cellAt(active);
    if (last) focusOf(last).tabIndex = -1;
    active = placeOf(cell);
    if (!extend || !cellAt(anchor) || !isSeen(rowOf(anchor.target))) anchor = active;
    focusOf(cell).tabIndex = 0;
    focusOf(cell).focus();
    choose(between(anchor, active));
  }
  function toggle(cell) {
    const ids = new Set(chosen);
    for (const id of between(placeOf(cell), placeOf(cell))) {
      if (ids.has(id)) ids.delete(id);
      else ids.add(id);
    }
    const last = cellAt(active);
    if (last) focusOf(last).tabIndex = -1;
    anchor = active = placeOf(cell);
    focusOf(cell).tabIndex = 0;
    focusOf(cell).focus();
    choose(ids);
  }
  function goTo(id) {
    const cell = cellOf(id);
    if (!cell) return false;
    if (cell.parentNode.hidden || cell.hidden) {
      sieve.reset();
      for (const field of sieve.elements) if (field.name) field.value = "";
      sift();
    }
    if (isFolded(cell.parentNode)) fold(cell.closest("tbody"), false);
    moveTo(cell, false);
    return true;
  }
  function backToTable() {
    const cell = cellAt(active) || seenRows().map((row) => row.cells[stageColumns()[0]])[0];
    if (cell) focusOf(cell).focus();
  }

  /* Edits go one after another, each on what the last answer gave. Nothing leaves the queue before it is answered. */
  const queue = [];
  let seen = editor.dataset.seen;
  let sending = false;
  let sent = Promise.resolve(); /* done when the queue is empty or stopped */
  let stopped = false;

  function ask(edit) {
    queue.push(edit);
    showWaiting(edit);
    if (stopped) trouble.hidden = false;
    if (!sending) sent = send();
  }
  function showWaiting(edit) {
    for (const id of edit.cells) {
      const cell = cellOf(id);
      if (!cell) continue;
      cell.classList.add("is-waiting");
      if (edit.short) {
        cell.className = "own is-waiting a" + edit.level;
        cell.querySelector("span").textContent = edit.short;
      }
    }
    showSaving();
  }
  function showSaving() {
    if (queue.length) state.textContent = words("saySaving", { n: queue.length });
    else state.textContent = chosen.size > 1 ? words("sayChosen", { n: chosen.size }) : "";
  }
  async function send() {
    if (stopped) return;
    sending = true;
    while (queue.length && !stopped) await sendOne(queue[0]);
    sending = false;
    if (!queue.length) lookForGaps();
  }
  async function sendOne(edit) {
    const body = new URLSearchParams(edit.fields);
    body.set("seen", seen);
    body.set("do", edit.does);
    body.set("cells", edit.cells.join("\n"));
    let response;
    let answer;
    try {
      response = await fetch(editor.dataset.edit, {
        method: "POST",
        headers: { Accept: "application/json", "X-CSRFToken": csrf },
        body: body,
        signal: AbortSignal.timeout(30000),
      });
      answer = (response.headers.get("Content-Type") || "").startsWith("application/json") ? await response.json() : null;
    } catch (lost) {
      stop("sayLost", true);
      return;
    }
    if (!answer) {
      if (response.status === 404) stop("sayGone", false);
      else if (response.status >= 500) stop("sayFailed", true);
      else stop("sayOut", false);
      return;
    }
    if (answer.stale) {
      stopped = true;
      complain(answer.problems.map(inWords).join(" ") + " " + words("sayUnsaved", { n: queue.length }), false);
      for (const button of panel.querySelectorAll("[aria-busy]")) button.removeAttribute("aria-busy");
      return;
    }
    queue.shift();
    if (response.ok) accept(edit, answer);
    else refuse(edit, answer.problems);
    putRows(answer.rows, answer.reload);
    queue.forEach(showWaiting);
    showSaving();
  }
  function stop(why, canRetry) {
    stopped = true;
    complain(words(why, { n: queue.length }), canRetry);
    for (const button of panel.querySelectorAll("[aria-busy]")) button.removeAttribute("aria-busy");
  }
  function accept(edit, answer) {
    seen = answer.seen;
    editor.querySelector("[data-undo]").textContent = answer.undo;
    editor.querySelector("[data-redo]").textContent = answer.redo;
    editor.querySelector("#rules-mend").innerHTML = answer.mend;
    const toMend = editor.querySelector(".rules-to-mend");
    toMend.hidden = answer.mend_count === 0;
    toMend.firstElementChild.textContent = words("sayMend", { n: answer.mend_count });
    say(answer.said);
    if (edit.form && edit.form.isConnected) closePanel();
  }
  const inWords = (problem) => problem.message + " " + problem.fix;
  function refuse(edit, problems) {
    if (!edit.form || !edit.form.isConnected) {
      complain(problems.map(inWords).join(" "), false);
      return;
    }
    const places = Array.from(edit.form.querySelectorAll("[data-problems]"));
    const known = new Set(places.map((place) => place.dataset.problems));
    for (const place of places) {
      const here = problems.filter((problem) => (known.has(problem.field) ? problem.field : "") === place.dataset.problems);
      place.replaceChildren(
        ...here.map((problem) => {
          const line = document.createElement("p");
          line.textContent = inWords(problem);
          return line;
        }),
      );
      place.hidden = here.length === 0;
      const field = edit.form.querySelector("#field-" + place.dataset.problems);
      if (field) {
        field.classList.toggle("is-invalid", here.length > 0);
        field.setAttribute("aria-invalid", String(here.length > 0));
      }
    }
    for (const button of edit.form.querySelectorAll("[aria-busy]")) button.removeAttribute("aria-busy");
    const first = edit.form.querySelector("[aria-invalid=true]") || edit.form.querySelector("input:checked, input[type=radio]");
    if (first) first.focus();
    say(problems.map(inWords).join(" "));
  }
  function putRows(rows, reload) {
    let strange = Boolean(reload);
    for (const [target, html] of Object.entries(rows || {})) {
      const old = rowOf(target);
      if (!old) {
        strange = strange || Boolean(html);
        continue;
      }
      const hadFocus = old.contains(document.activeElement);
      if (!html) {
        byTarget.delete(target);
        old.remove();
        if (hadFocus) backToTable();
        continue;
      }
      const holder = document.createElement("template");
      holder.innerHTML = html;
      const row = holder.content.querySelector("tr");
      row.hidden = old.hidden;
      old.replaceWith(row);
      prepare(row);
      if (active && active.target === target) {
        const focused = focusOf(cellAt(active));
        focused.tabIndex = 0;
        if (hadFocus) focused.focus();
      }
    }
    if (strange && !queue.length) window.location.reload();
  }

  let looking = 0;
  async function lookForGaps() {
    const place = editor.querySelector("#rules-gaps");
    const turn = ++looking;
    try {
      const response = await fetch(editor.dataset.gaps, { headers: { "HX-Request": "true" } });
      if (!response.ok || response.redirected) throw new Error(response.status);
      const html = await response.text();
      if (turn === looking) place.innerHTML = html;
    } catch (lost) {
      if (place.querySelector(".note")) return;
      const note = document.createElement("p");
      note.className = "note";
      note.textContent = words("sayOlder");
      place.append(note);
    }
  }

  /* What is asked of the chosen cells */
  const edit = (does, more) => ask(Object.assign({ does: does, cells: [], fields: {} }, more));
  function change(does, setter) {
    if (!chosen.size) return say(words("sayNothing"));
    const cells = Array.from(chosen);
    if (does === "clear") return edit("clear", { cells: cells });
    const { allowance, short, level } = setter.dataset;
    return edit("set", { cells: cells, fields: { allowance: allowance }, short: short, level: level });
  }
  function run(button) {
    const does = button.dataset.do;
    if (does === "set" || does === "clear") change(does, button);
    else if (does === "undo" || does === "redo") edit(does);
    else if (does === "panel") openPanel();
    else if (does === "fold") foldAll(button);
    else if (does === "reload") window.location.reload();
    else if (does === "hide") trouble.hidden = true;
    else if (does === "retry") {
      trouble.hidden = true;
      stopped = false;
      sent = send();
    }
  }

  /* The panel */
  async function openPanel() {
    if (!chosen.size) return say(words("sayNothing"));
    const cells = Array.from(chosen);
    await sent; /* the panel shows what holds after every edit asked for so far */
    const query = cells.length < 20 ? "?" + new URLSearchParams(cells.map((id) => ["cell", id])) : "";
    const headers = { "HX-Request": "true", "X-CSRFToken": csrf };
    const how = query ? { headers: headers } : { method: "POST", headers: headers, body: new URLSearchParams({ cells: cells.join("\n") }) };
    try {
      const response = await fetch(editor.dataset.panel + query, how);
      if (!response.ok || response.redirected) throw new Error(response.status);
      panel.innerHTML = await response.text();
    } catch (lost) {
      return complain(words("sayPanel"), false);
    }
    panel.hidden = false;
    editor.classList.add("has-panel");
    const first = panel.querySelector("input:checked") || panel.querySelector("#panel-title");
    first.focus();
    return undefined;
  }
  function closePanel() {
    const hadFocus = panel.contains(document.activeElement) || document.activeElement === document.body;
    panel.hidden = true;
    panel.replaceChildren();
    editor.classList.remove("has-panel");
    if (hadFocus) backToTable();
  }
  function addForm(button) {
    const field = panel.querySelector("#field-forms");
    const before = field.value.trim();
    field.value = before ? before + button.dataset.joined + button.dataset.formWord : button.dataset.formWord;
    field.focus();
  }
  /* The word that is being typed can be finished from the list. */
  function offerForms(field) {
    const [, before, part] = field.value.match(/^(.*?(?:[;+]\s*)?)([^;+]*)$/s);
    const options = Array.from(panel.querySelectorAll("[data-form-word]"))
      .map((button) => button.dataset.formWord)
      .filter((word) => word.startsWith(part.trim().toLowerCase()))
      .map((word) => new Option("", before + word));
    panel.querySelector("#form-words").replaceChildren(...options);
  }
  function sendForm(event) {
    if (!event.target.matches("[data-panel-form]")) return;
    event.preventDefault();
    const form = event.target;
    const fields = new FormData(form);
    const cells = fields.get("cells").split("\n").map((id) => id.trim()).filter(Boolean);
    for (const name of ["cells", "seen", "do", "csrfmiddlewaretoken"]) fields.delete(name);
    if (event.submitter) event.submitter.setAttribute("aria-busy", "true");
    edit(event.submitter ? event.submitter.value : "set", { cells: cells, fields: fields, form: form });
  }

  /* Sieve and folding */
  const folded = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().replace(/[^\p{L}\p{N}]+/gu, " ").trim();
  function sift() {
    const { q, group, only, stage } = sieve.elements;
    const asked = folded(q.value).split(" ").filter(Boolean);
    const kind = { own: "has-own", mend: "to-mend" }[only.value];
    const fits = (row) =>
      asked.every((word) => row.dataset.words.includes(word)) &&
      (!group.value || row.dataset.group === group.value) &&
      (!kind || row.classList.contains(kind));
    for (const body of table.tBodies) {
      let any = false;
      for (const row of Array.from(body.rows).reverse()) {
        row.hidden = !(fits(row) || (isHead(row) && any));
        any = any || !row.hidden;
      }
    }
    for (const row of table.rows) {
      for (const cell of row.cells) {
        if (cell.cellIndex) cell.hidden = Boolean(stage.value) && stages[cell.cellIndex - 1] !== stage.value;
      }
    }
    table.classList.toggle("one-stage", Boolean(stage.value));
    const all = Array.from(table.querySelectorAll("tbody tr"));
    editor.querySelector(".rules-count").textContent = words("sayRows", { n: all.filter((row) => !row.hidden).length, all: all.length });
    const kept = new URLSearchParams(Array.from(new FormData(sieve)).filter(([, value]) => value));
    window.history.replaceState(null, "", kept.size ? "?" + kept : window.location.pathname);
    settle();
  }
  /* The keyboard's place and the choice stay among what is seen, so that no edit reaches a cell nobody sees. */
  function settle() {
    choose(Array.from(chosen).filter((id) => isSeen(cellOf(id).parentNode) && !cellOf(id).hidden));
    const cell = cellAt(active);
    if (cell && isSeen(cell.parentNode) && !cell.hidden) return;
    if (cell) focusOf(cell).tabIndex = -1;
    const row = seenRows()[0];
    active = anchor = row ? placeOf(row.cells[stageColumns()[0]]) : null;
    if (row) focusOf(cellAt(active)).tabIndex = 0;
  }
  function fold(body, shut) {
    body.classList.toggle("is-folded", shut);
    if (body.rows.length && isHead(body.rows[0])) body.rows[0].cells[0].setAttribute("aria-expanded", String(!shut));
  }
  function foldAll(button) {
    const shut = !editor.classList.contains("all-folded");
    editor.classList.toggle("all-folded", shut);
    for (const body of table.tBodies) if (body.rows.length && isHead(body.rows[0])) fold(body, shut);
    button.textContent = words(shut ? "sayUnfolded" : "sayFolded");
    settle();
  }

  /* The keyboard */
  function step(cell, key, far) {
    const rows = seenRows();
    const columns = seenColumns(cell.parentNode);
    let down = rows.indexOf(cell.parentNode);
    let across = columns.indexOf(cell.cellIndex);
    if (key === "ArrowUp") down -= 1;
    if (key === "ArrowDown") down += 1;
    if (key === "PageUp") down -= PAGE;
    if (key === "PageDown") down += PAGE;
    if (key === "ArrowLeft") across -= 1;
    if (key === "ArrowRight") across += 1;
    if (key === "Home") across = 0;
    if (key === "End") across = columns.length - 1;
    if (far && key === "Home") down = 0;
    if (far && key === "End") down = rows.length - 1;
    const clamp = (number, length) => Math.max(0, Math.min(number, length - 1));
    return rows[clamp(down, rows.length)].cells[columns[clamp(across, columns.length)]];
  }
  const MOVES = ["ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "Home", "End", "PageUp", "PageDown"];

  function onGridKey(event) {
    const cell = event.target.closest("td, tbody th");
    if (!cell || event.altKey) return;
    const far = event.ctrlKey || event.metaKey;
    if (MOVES.includes(event.key)) moveTo(step(cell, event.key, far), event.shiftKey);
    else if (event.key === " " && far) toggle(cell);
    else if (event.key === " " && cell.cellIndex === 0 && isHead(cell.parentNode)) {
      fold(cell.closest("tbody"), cell.getAttribute("aria-expanded") === "true");
    } else if (far) return;
    else if (setters.has(event.key)) change("set", setters.get(event.key));
    else if (event.key === "Delete" || event.key === "Backspace") change("clear");
    else if (event.key === "Enter") openPanel();
    else if (event.key === "Escape" && panel.hidden) moveTo(cell, false);
    else if (event.key === "?") document.getElementById("rules-keys").showModal();
    else if (event.key === "/") sieve.elements.q.focus();
    else return;
    event.preventDefault();
  }
  function onKey(event) {
    const typing = event.target.matches("input:not([type=radio]), textarea, select");
    const key = event.key.toLowerCase();
    if (event.key === "Escape" && !panel.hidden && !event.target.closest("dialog")) {
      closePanel();
      backToTable();
    } else if ((event.ctrlKey || event.metaKey) && !typing && (key === "z" || key === "y")) {
      edit(key === "y" || event.shiftKey ? "redo" : "undo");
    } else return;
    event.preventDefault();
  }

  /* The pointer: a press chooses, a second press on the one chosen cell opens it. */
  function onGridClick(event) {
    const cell = event.target.closest("td, tbody th");
    if (!cell) return;
    event.preventDefault();
    if (event.shiftKey) moveTo(cell, true);
    else if (event.ctrlKey || event.metaKey) toggle(cell);
    else if (cell.cellIndex === 0 && isHead(cell.parentNode) && chosen.has(idOf(cell.parentNode.cells[stageColumns()[0]]))) {
      fold(cell.closest("tbody"), cell.getAttribute("aria-expanded") === "true");
    } else {
      const again = cell.cellIndex > 0 && chosen.size === 1 && chosen.has(idOf(cell));
      moveTo(cell, false);
      if (again || event.detail === 0) openPanel();
    }
  }

  for (const row of table.querySelectorAll("tbody tr")) prepare(row);
  if (!sieve.elements.stage.value && window.matchMedia("(max-width: 39.99rem)").matches) sieve.elements.stage.value = stages[0];
  sift();
  lookForGaps();

  table.addEventListener("keydown", onGridKey);
  table.addEventListener("click", onGridClick);
  table.addEventListener("mousedown", (event) => event.shiftKey && event.preventDefault());
  editor.addEventListener("keydown", onKey);
  editor.addEventListener("submit", sendForm);
  editor.addEventListener("click", function (event) {
    const button = event.target.closest("[data-do]");
    const link = event.target.closest("a[data-cell]");
    if (button) run(button);
    else if (link && goTo(link.dataset.cell)) event.preventDefault();
    else if (event.target.closest("[data-panel-closes]")) {
      closePanel();
      backToTable();
    } else if (event.target.closest("[data-form-word]")) addForm(event.target.closest("[data-form-word]"));
  });
  editor.addEventListener("input", (event) => event.target.id === "field-forms" && offerForms(event.target));
  sieve.addEventListener("input", sift);
  sieve.addEventListener("submit", function (event) {
    event.preventDefault();
    sift();
    backToTable();
  });
  window.addEventListener("beforeunload", (event) => queue.length && event.preventDefault());
})();
