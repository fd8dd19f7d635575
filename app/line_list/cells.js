// A table of cells; narrow, each line becomes a block with the names of its columns beside the inputs.

function drawCells(list) {
  const { data } = list;
  const shape = JSON.stringify([data.columns, data.label, data.corner]);
  if (list.shape !== shape) newTable(list, shape);
  const nodes = [list.head];
  for (const row of data.rows) {
    if (!list.lines.has(row.id)) list.lines.set(row.id, newCellRow(list, row));
    fillCellRow(list, list.lines.get(row.id), row);
    nodes.push(list.lines.get(row.id).node);
  }
  for (const id of list.lines.keys()) if (!data.rows.some((row) => row.id === id)) list.lines.delete(id);
  arrange(list, list.table, nodes);
}

// How many columns there are decides at which width the lines fold.
function widthOf(columns) {
  if (columns.length > 14) return "always";
  if (columns.length > 9) return "many";
  return columns.length > 5 ? "some" : "few";
}

function newTable(list, shape) {
  const { columns, label, corner } = list.data;
  list.shape = shape;
  list.lines.clear();
  list.table = made("div", `table ${widthOf(columns)}`);
  list.table.setAttribute("role", "table");
  list.table.setAttribute("aria-label", label);
  list.table.style.setProperty("--columns", columns.length);
  list.head = withRole(made("div", "tr head"), "row");
  list.head.append(withRole(made("div", "th corner", corner || ""), "columnheader"));
  let over = "";
  for (const column of columns) {
    const node = withRole(made("div", "th"), "columnheader");
    // a time stands once above the columns that share it, and again for a screen reader
    const heading = made("span", column.over === over ? "over unseen" : "over", column.over || "");
    node.classList.toggle("first", column.over !== over);
    over = column.over;
    node.append(heading, made("span", "", column.label));
    list.head.append(node);
  }
  list.body.replaceChildren(list.table);
}

function withRole(node, role) {
  node.setAttribute("role", role);
  return node;
}

function newCellRow(list, row) {
  const line = { node: withRole(made("div", "tr"), "row"), cells: new Map() };
  line.name = made("span", "name");
  line.about = made("span", "about");
  line.problems = made("div", "problems");
  line.problems.id = freshId("problems");
  const head = withRole(made("div", "th what"), "rowheader");
  head.append(line.name, line.about);
  line.node.append(head);
  let over = "";
  for (const column of list.data.columns) {
    const cell = withRole(made("div", column.over === over ? "td" : "td first"), "cell");
    cell.classList.toggle("several", list.data.columns.filter((c) => c.over === column.over).length > 1);
    over = column.over;
    const small = made("span", "small", [column.over, column.label].filter(Boolean).join(", "));
    small.setAttribute("aria-hidden", "true");
    const [input] = cellOf(list, { id: row.id, cells: line.cells }, column);
    input.placeholder = "";
    cell.append(small, input);
    line.node.append(cell);
  }
  const problems = withRole(made("div", "td told"), "cell");
  problems.append(line.problems);
  line.node.append(problems);
  line.told = problems;
  return line;
}

function fillCellRow(list, line, row) {
  write(line.name, row.name);
  drawnOnce(line.about, row.about, (node) => node.append(...(row.about || []).map((p) => pieceNode(list, row, p))));
  drawnOnce(line.problems, row.problems, (node) => {
    for (const problem of row.problems || []) node.append(made("p", problem.tone, problem.text));
  });
  line.told.hidden = !(row.problems || []).length;
  for (const column of list.data.columns) {
    const label = [column.over, column.label].filter(Boolean).join(", ");
    fillCell(list, line, row, { ...column, label }, (row.texts || {})[column.key]);
  }
}

function grid(list) {
  return list.data.rows.map((row) =>
    list.data.columns.map((column) => list.lines.get(row.id).cells.get(column.key)).filter((n) => n.matches(".entry")),
  );
}

function placeIn(rows, input) {
  const down = rows.findIndex((cells) => cells.includes(input));
  return { down, across: down < 0 ? -1 : rows[down].indexOf(input) };
}

const ALL = -1;

// At which end of its text the cursor stands; ALL where everything is selected, as after entering a cell.
function edge(input) {
  if (input.selectionStart === undefined || input.selectionStart === null) return ALL;
  const { selectionStart: start, selectionEnd: end, value } = input;
  if (start === 0 && end === value.length) return ALL;
  return start === end ? start : undefined;
}

function keyInCells(list, event) {
  const input = event.target;
  if (!input.matches(".entry") || event.isComposing) return;
  const rows = grid(list);
  const { down, across } = placeIn(rows, input);
  const at = edge(input);
  const under = (rows[down + 1] || [])[across];
  const above = (rows[down - 1] || [])[across];
  let next;
  if (event.key === "Enter") {
    sendNow(list.box);
    const inNext = (rows[0] || [])[across + 1];
    const inLast = rows.at(-1)[across - 1];
    next = event.shiftKey ? above || inLast : under || inNext;
  } else if (event.key === "ArrowDown") next = under;
  else if (event.key === "ArrowUp") next = above;
  else if (event.key === "ArrowRight" && (at === ALL || at === input.value.length)) next = rows[down][across + 1];
  else if (event.key === "ArrowLeft" && (at === ALL || at === 0)) next = rows[down][across - 1];
  else return;
  event.preventDefault();
  focusOn(next);
}

function pasteInCells(list, event) {
  const text = event.clipboardData.getData("text/plain");
  if (!isBlock(text)) return;
  event.preventDefault();
  const rows = grid(list);
  const { down, across } = placeIn(rows, event.target);
  let over = false;
  text.replace(/[\r\n]+$/, "").split(/\r?\n/).forEach((line, y) => {
    const comma = line.includes("\t") ? "\t" : ";";
    line.split(comma).forEach((cell, x) => {
      const input = (rows[down + y] || [])[across + x];
      if (!input) {
        over = true;
        return;
      }
      input.value = cell.trim();
      put(list.box, { do: "text", row: input.dataset.row, field: input.dataset.field, text: input.value });
    });
  });
  sendNow(list.box);
  list.box.say(over ? "The block is larger than what lies right and below: the rest was left out" : "The block was filled in");
}
