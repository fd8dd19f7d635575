// Pieces of the page; every text goes in as text.

let counted = 0;

function made(tag, kind, text) {
  const node = document.createElement(tag);
  if (kind) node.className = kind;
  if (text !== undefined) node.textContent = text;
  return node;
}

function freshId(word) {
  counted += 1;
  return `${word}-${counted}`;
}

function write(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

function mark(node, name, value) {
  if (!value) node.removeAttribute(name);
  else if (node.getAttribute(name) !== value) node.setAttribute(name, value);
}

function newRowId() {
  return `new-${crypto.getRandomValues(new Uint32Array(2)).join("-")}`;
}

function active(list) {
  return list.host.activeElement;
}

// Draw anew only what differs from last time.
function drawnOnce(node, value, draw) {
  const text = JSON.stringify(value);
  if (node.drawn === text) return;
  node.drawn = text;
  node.replaceChildren();
  draw(node);
}

// An input for one text of one line; tells the box what is typed and never writes over it.
function textInput(list, row, field, kind) {
  const input = made(kind === "long" ? "textarea" : "input", `entry ${kind}`);
  if (kind === "long") input.rows = 2;
  else input.type = "text";
  if (kind === "amount") input.inputMode = "decimal";
  input.autocomplete = "off";
  input.spellcheck = kind === "long";
  input.enterKeyHint = kind === "long" ? "enter" : "next";
  input.dataset.row = row;
  input.dataset.field = field;
  input.given = "";
  input.addEventListener("input", () => typed(list, input, AFTER_TYPING));
  input.addEventListener("change", () => sendNow(list.box));
  input.addEventListener("blur", () => settle(list, input));
  return input;
}

function typed(list, input, wait) {
  put(list.box, { do: "text", row: input.dataset.row, field: input.dataset.field, text: input.value });
  if (wait) sendSoon(list.box, wait);
  else sendNow(list.box);
}

function settle(list, input) {
  const waiting = waitingText(list.box, input.dataset.row, input.dataset.field);
  const text = waiting === undefined ? input.given : waiting;
  if (input.value !== text) input.value = text;
}

function give(list, input, text) {
  input.given = text || "";
  // what is being typed is never written over: it settles when the cursor leaves
  if (active(list) !== input) settle(list, input);
}

function tickInput(list, row, field) {
  const input = made("input", "entry tick");
  input.type = "checkbox";
  input.dataset.row = row;
  input.dataset.field = field;
  input.addEventListener("change", () => {
    put(list.box, { do: "text", row, field, text: input.checked ? "yes" : "" });
    sendNow(list.box);
  });
  return input;
}

function giveTick(list, input, text) {
  const waiting = waitingText(list.box, input.dataset.row, input.dataset.field);
  input.checked = Boolean(waiting === undefined ? text : waiting);
}

function choiceInput(list, row, field) {
  const input = made("select", "entry choice");
  input.dataset.row = row;
  input.dataset.field = field.key;
  for (const choice of field.choices || []) {
    const option = made("option", "", choice.label);
    option.value = choice.value || "";
    input.append(option);
  }
  input.addEventListener("change", () => typed(list, input, 0));
  return input;
}

function giveChoice(list, input, text) {
  const waiting = waitingText(list.box, input.dataset.row, input.dataset.field);
  input.value = waiting === undefined ? text || "" : waiting;
}

function focusOn(input) {
  if (!input) return;
  input.focus();
  if (input.select && input.type === "text") input.select();
}

// Put children in order around the one with the focus, which must not leave the document.
function arrange(list, parent, nodes) {
  const wanted = new Set(nodes);
  for (const child of [...parent.children]) if (!wanted.has(child)) child.remove();
  const held = nodes.findIndex((node) => node.contains(active(list)));
  let next = nodes[held];
  for (const node of nodes.slice(0, held < 0 ? 0 : held).reverse()) {
    if (next.previousSibling !== node) next.before(node);
    next = node;
  }
  let last = nodes[held];
  for (const node of nodes.slice(held + 1)) {
    if (!last) {
      if (parent.firstChild !== node) parent.prepend(node);
    } else if (last.nextSibling !== node) last.after(node);
    last = node;
  }
}
