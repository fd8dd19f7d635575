// Lines in groups: a name, its amounts, what it counts as, and a menu that opens below it.

// The lines as the maker sees them: those of the page, without what was removed, with what was added.
function shownRows(list) {
  const gone = new Set(list.box.ops.filter((op) => op.do === "remove").map((op) => op.row));
  const there = new Set(list.data.rows.map((row) => row.id));
  const coming = list.box.ops
    .filter((op) => op.do === "add" && !there.has(op.row))
    .map((op) => ({ id: op.row, name: op.name, group: op.group, coming: true }));
  return [...list.data.rows, ...coming].filter((row) => !gone.has(row.id));
}

function drawLines(list) {
  const rows = shownRows(list);
  const groups = list.data.groups || [];
  const keys = new Set(groups.map((group) => group.key));
  const nodes = [];
  if (list.data.columns.length > 1) nodes.push(headsNode(list));
  const put = (row) => nodes.push(lineNode(list, row));
  rows.filter((row) => !keys.has(row.group)).forEach(put);
  for (const group of groups) {
    const members = rows.filter((row) => row.group === group.key);
    if (!members.length) continue;
    nodes.push(groupNode(list, group));
    members.forEach(put);
  }
  if (!rows.length && list.data.empty) nodes.push(emptyNode(list));
  if (list.data.adding) nodes.push(addingNode(list));
  for (const id of list.lines.keys()) if (!rows.some((row) => row.id === id)) forget(list, id);
  arrange(list, list.body, nodes);
}

function forget(list, id) {
  const line = list.lines.get(id);
  list.lines.delete(id);
  if (!line.node.contains(active(list))) return;
  const after = neighbour(line.node);
  line.node.remove();
  enter(list, after);
}

function neighbour(node) {
  const lines = [...node.parentNode.querySelectorAll(":scope > .line")];
  const at = lines.indexOf(node);
  return lines[at + 1] || lines[at - 1];
}

// The first input of a line, or what stands in its place.
function enter(list, node) {
  const target = node && (node.querySelector(".cells .entry") || node.querySelector(".dots"));
  focusOn(target || list.body.querySelector(".adding input"));
}

function headsNode(list) {
  list.heads ||= made("div", "heads");
  list.heads.setAttribute("aria-hidden", "true");
  drawnOnce(list.heads, list.data.columns, (node) => {
    const cells = made("div", "cells");
    for (const column of list.data.columns) cells.append(made("span", `head ${column.kind}`, column.label), ...unitOf(column));
    node.append(made("span"), cells);
  });
  return list.heads;
}

function groupNode(list, group) {
  if (!list.groups.has(group.key)) {
    const parts = { node: made("div", "group"), head: made(`h${list.data.heading_level}`), cells: made("div", "cells") };
    parts.node.append(parts.head, parts.cells);
    list.groups.set(group.key, parts);
  }
  const parts = list.groups.get(group.key);
  write(parts.head, group.label);
  drawnOnce(parts.cells, group.texts, (node) => {
    for (const column of list.data.columns) {
      const text = (group.texts || {})[column.key] || "";
      node.append(made("span", `head ${column.kind}`, text), ...unitOf(column, text));
    }
  });
  return parts.node;
}

function unitOf(column, shown) {
  return column.unit ? [made("span", "unit", shown ? column.unit : "")] : [];
}

function emptyNode(list) {
  list.empty ||= made("p", "empty");
  write(list.empty, list.data.empty);
  return list.empty;
}

function newLine(list, row) {
  const line = { id: row.id, node: made("div", "line"), cells: new Map(), fields: new Map() };
  line.name = made("span", "name");
  line.name.id = freshId("name");
  line.marks = made("span", "marks");
  line.head = made("div", "what");
  line.head.append(line.name, line.marks);
  line.amounts = made("div", "cells");
  for (const column of list.data.columns) line.amounts.append(...cellOf(list, line, column));
  line.about = made("div", "about");
  line.dots = made("button", "dots", "⋯");
  line.dots.type = "button";
  line.dots.addEventListener("click", () => toggle(list, row.id));
  line.problems = made("div", "problems");
  line.problems.id = freshId("problems");
  line.node.append(line.head, line.amounts, line.about, line.dots, line.problems);
  line.node.setAttribute("role", "group");
  line.node.setAttribute("aria-labelledby", line.name.id);
  return line;
}

function cellOf(list, line, column) {
  if (column.kind === "shown") {
    const node = made("span", "shown");
    line.cells.set(column.key, node);
    return [node, ...unitOf(column, true)];
  }
  const input =
    column.kind === "tick"
      ? tickInput(list, line.id, column.key)
      : textInput(list, line.id, column.key, column.kind);
  // with several columns the label stands above
  if (column.kind !== "tick") input.placeholder = list.data.columns.length > 1 ? " " : column.label;
  line.cells.set(column.key, input);
  return [input, ...unitOf(column, true)];
}

function lineNode(list, row) {
  if (!list.lines.has(row.id)) list.lines.set(row.id, newLine(list, row));
  const line = list.lines.get(row.id);
  fillLine(list, line, row);
  return line.node;
}

function fillLine(list, line, row) {
  const texts = row.texts || {};
  write(line.name, row.name);
  drawnOnce(line.marks, row.marks, (node) => {
    for (const { text, says } of row.marks || []) {
      const tag = made("span", "mark", text);
      if (says) tag.title = says;
      node.append(tag);
      if (says) node.append(made("span", "unseen", says));
    }
  });
  for (const column of list.data.columns) fillCell(list, line, row, column, texts[column.key]);
  drawnOnce(line.about, [row.beside, row.about], (node) => {
    const pieces = (row.about || []).map((p) => pieceNode(list, row, p));
    node.classList.toggle("with", Boolean(row.beside));
    if (!row.beside) return node.append(...pieces);
    const told = made("span", "pieces");
    told.append(...pieces);
    return node.append(made("span", "beside", row.beside), told);
  });
  drawnOnce(line.problems, row.problems, (node) => {
    for (const problem of row.problems || []) node.append(made("p", problem.tone, problem.text));
  });
  const fields = fieldsOf(list, row);
  line.dots.hidden = Boolean(row.coming) || !(fields.length || list.data.movable || !row.fixed);
  const open = list.box.open === row.id && !line.dots.hidden;
  mark(line.dots, "aria-label", `more for ${row.name}`);
  line.dots.setAttribute("aria-expanded", open ? "true" : "false");
  line.node.classList.toggle("open", open);
  if (open) fillPanel(list, line, row, fields);
  else if (line.panel) closePanel(line);
}

function fillCell(list, line, row, column, text) {
  const node = line.cells.get(column.key);
  if (column.kind === "shown") {
    write(node, text || "");
    return;
  }
  mark(node, "aria-label", `${row.name}, ${column.label}${column.unit ? ` in ${column.unit}` : ""}`);
  tellProblem(node, line, row, column.key);
  if (column.kind === "tick") giveTick(list, node, text);
  else give(list, node, text);
  // a text that says its unit stands alone
  if (column.unit) node.nextElementSibling.classList.toggle("said", /[%a-z]\s*$/i.test(text || ""));
}

function tellProblem(node, line, row, key) {
  const problem = (row.problems || []).find((p) => (p.field || "") === key);
  mark(node, "aria-describedby", problem && line.problems.id);
  mark(node, "aria-invalid", problem && problem.tone === "stop" && "true");
}

function pieceNode(list, row, piece) {
  const node = made(piece.opens ? "button" : "span", `piece ${piece.tone}`, piece.text);
  if (piece.says) node.title = piece.says;
  if (piece.opens) {
    node.type = "button";
    node.setAttribute("aria-label", `${piece.text}, ${row.name}`);
    node.addEventListener("click", () => openAt(list, row.id, piece.opens));
  }
  return node;
}

// --- what the menu of a line opens

function fieldsOf(list, row) {
  const all = list.data.fields || [];
  return row.fields ? all.filter((field) => row.fields.includes(field.key)) : all;
}

function toggle(list, id) {
  list.box.open = list.box.open === id ? "" : id;
  draw(list);
}

function openAt(list, id, field) {
  list.box.open = id;
  draw(list);
  const line = list.lines.get(id);
  focusOn(line.fields.get(field) || line.panel.querySelector(".entry"));
}

function closePanel(line) {
  line.panel.remove();
  line.panel = undefined;
  line.fields.clear();
  line.dots.removeAttribute("aria-controls");
}

function leavePanel(list, id) {
  list.box.open = "";
  list.lines.get(id).dots.focus();
  draw(list);
}

function fillPanel(list, line, row, fields) {
  const shape = JSON.stringify(fields);
  if (line.panel && line.panel.shape !== shape) closePanel(line);
  if (!line.panel) {
    line.panel = newPanel(list, line, row, fields);
    line.panel.shape = shape;
    line.node.append(line.panel);
  }
  mark(line.panel, "aria-label", `more for ${row.name}`);
  for (const field of fields) {
    const input = line.fields.get(field.key);
    if (field.kind === "press") continue;
    tellProblem(input, line, row, field.key);
    const text = (row.texts || {})[field.key];
    if (field.kind === "choice") giveChoice(list, input, text);
    else give(list, input, text);
  }
}

function newPanel(list, line, row, fields) {
  const panel = made("div", "panel");
  panel.id = freshId("panel");
  panel.setAttribute("role", "group");
  line.dots.setAttribute("aria-controls", panel.id);
  const inputs = made("div", "fields");
  for (const field of fields) if (field.kind !== "press") inputs.append(fieldNode(list, line, field));
  const buttons = made("div", "buttons");
  const button = (text, press) => {
    const node = made("button", "", text);
    node.type = "button";
    node.addEventListener("click", press);
    buttons.append(node);
    return node;
  };
  for (const field of fields) {
    if (field.kind === "press") line.fields.set(field.key, button(field.label, () => act(list, { do: "press", row: row.id, field: field.key })));
  }
  if (list.data.movable) {
    button("Move up", () => act(list, { do: "move", row: row.id, up: true }));
    button("Move down", () => act(list, { do: "move", row: row.id, up: false }));
  }
  if (!row.fixed) button("Remove", () => remove(list, row.id)).classList.add("remove");
  button("Close", () => leavePanel(list, row.id)).classList.add("close");
  if (inputs.children.length) panel.append(inputs);
  panel.append(buttons);
  panel.addEventListener("keydown", (event) => {
    if (event.key === "Escape") leavePanel(list, row.id);
  });
  return panel;
}

function fieldNode(list, line, field) {
  const box = made("div", `field ${field.kind}`);
  const label = made("label", "", field.label);
  const input =
    field.kind === "choice" ? choiceInput(list, line.id, field) : textInput(list, line.id, field.key, field.kind);
  input.id = freshId("field");
  label.htmlFor = input.id;
  if (field.hint) input.placeholder = field.hint;
  if (field.unit) label.append(made("span", "unit", ` [${field.unit}]`));
  line.fields.set(field.key, input);
  box.append(label, input);
  return box;
}

function act(list, op) {
  put(list.box, op);
  sendNow(list.box);
}

function remove(list, id) {
  const line = list.lines.get(id);
  const after = neighbour(line.node);
  list.box.open = "";
  enter(list, after);
  list.box.say(`${line.name.textContent} removed`);
  act(list, { do: "remove", row: id });
  draw(list);
}

// Enter and the arrows go along one column; after the last amount comes the input that adds, and after
// the amount of a line just added too, wherever its group stands.
function goAlong(list, input, back) {
  if (!back && list.box.fresh && input.dataset.row === list.box.fresh) {
    list.box.fresh = "";
    focusOn(list.body.querySelector(".adding input"));
    return;
  }
  const same = [...list.body.querySelectorAll(".cells .entry")].filter((e) => e.dataset.field === input.dataset.field);
  const at = same.indexOf(input);
  const next = back ? same[at - 1] : same[at + 1];
  if (next || !back) focusOn(next || list.body.querySelector(".adding input"));
}

function keyInLines(list, event) {
  const input = event.target;
  if (!input.matches(".cells .entry") || event.isComposing) return;
  const { key, shiftKey } = event;
  if (key === "Enter") sendNow(list.box);
  if (key === "Enter" || key === "ArrowDown" || key === "ArrowUp") {
    event.preventDefault();
    goAlong(list, input, key === "ArrowUp" || (key === "Enter" && shiftKey));
  }
}

function pasteInLines(list, event) {
  const input = event.target;
  const text = event.clipboardData.getData("text/plain");
  if (!isBlock(text) || input.matches("textarea")) return;
  event.preventDefault();
  act(list, { do: "paste", row: input.dataset.row || "", field: input.dataset.field || "", text });
  list.box.say("A block was pasted");
}
