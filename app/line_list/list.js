// Where the page hands over what to show: once at first and after each change of the data.

const lists = new WeakMap();

function draw(list) {
  if (list.data.form === "cells") drawCells(list);
  else drawLines(list);
}

function newList(host, data) {
  const root = host.querySelector(".line-list");
  const list = { host, root, key: data.key, form: data.form, body: root.querySelector(".body"), lines: new Map(), groups: new Map() };
  list.body.replaceChildren();
  list.status = root.querySelector(".status");
  if (root.heard) return list;
  root.heard = true;
  const now = () => lists.get(host);
  const cells = () => now().data.form === "cells";
  root.addEventListener("keydown", (event) => (cells() ? keyInCells : keyInLines)(now(), event));
  root.addEventListener("paste", (event) => (cells() ? pasteInCells : pasteInLines)(now(), event));
  root.addEventListener("focusin", (event) => remember(now(), event.target));
  root.addEventListener("focusout", () => setTimeout(() => root.isConnected && !host.activeElement && (now().box.focus = null)));
  for (const kind of ["input", "keyup"]) root.addEventListener(kind, (event) => remember(now(), event.target));
  // entering an amount selects it, so that typing replaces it
  root.addEventListener("focusin", (event) => {
    if (event.target.matches(".amount.entry")) event.target.select();
  });
  return list;
}

function remember(list, target) {
  const { row, field } = target.dataset;
  list.box.focus = { row, field, adding: target.matches(".adding input"), cursor: target.selectionEnd };
}

// A list that was taken away and put back, as the page around it changed, gives the cursor back.
function giveBack(list) {
  const { focus } = list.box;
  if (!focus || (document.activeElement && document.activeElement !== document.body)) return;
  const line = focus.row && list.lines.get(focus.row);
  const input = focus.adding ? list.adding && list.adding.input : line && line.cells.get(focus.field);
  if (!input) return;
  input.focus();
  // entering selects all; here the next key belongs behind the last
  if (input.type === "text") input.setSelectionRange(focus.cursor, focus.cursor);
}

export default function (component) {
  const { data, parentElement: host } = component;
  let list = lists.get(host);
  const first = !list || !list.root.isConnected || list.key !== data.key || list.form !== data.form;
  if (first) {
    list = newList(host, data);
    lists.set(host, list);
  }
  list.data = data;
  list.box = boxOf(data);
  list.box.send = (message) => component.setStateValue("sent", message);
  list.box.say = (text) => write(list.status, text);
  list.root.setAttribute("role", "group");
  list.root.classList.toggle("large", Boolean(data.large));
  list.root.classList.toggle("several", data.form === "lines" && data.columns.length > 1);
  list.root.classList.toggle("lines", data.form === "lines");
  mark(list.root, "aria-label", data.label);
  draw(list);
  if (first) giveBack(list);
  if (first && list.box.ops.length) sendSoon(list.box, BETWEEN);
  else answered(list.box);
  list.box.list = list;
  // the page may show the new one before it takes the old one away
  return () => !list.root.isConnected && list.box.list !== list && giveBack(list.box.list);
}
