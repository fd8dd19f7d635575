// One input that adds a line by any name: what is typed is looked up in the names given by the page.

function entriesOf(list) {
  const { adding } = list.data;
  const { digest } = adding;
  if (adding.names) namesByDigest.set(digest, prepared(adding.names));
  list.box.holds = namesByDigest.has(digest) ? digest : "";
  return namesByDigest.get(digest) || [];
}

function addingNode(list) {
  list.entries = entriesOf(list);
  if (!list.adding) list.adding = newAdding(list);
  write(list.adding.label, list.data.adding.label);
  return list.adding.node;
}

function newAdding(list) {
  const adding = { node: made("div", "adding"), label: made("label"), input: made("input"), found: [], at: 0 };
  const { node, label, input } = adding;
  adding.options = made("ul", "options");
  adding.options.id = freshId("options");
  adding.options.setAttribute("role", "listbox");
  adding.options.hidden = true;
  input.id = freshId("add");
  label.htmlFor = input.id;
  Object.assign(input, { type: "text", autocomplete: "off", spellcheck: false, enterKeyHint: "done" });
  input.value = list.box.draft;
  for (const [name, value] of [["role", "combobox"], ["aria-autocomplete", "list"], ["aria-expanded", "false"]]) {
    input.setAttribute(name, value);
  }
  input.setAttribute("aria-controls", adding.options.id);
  input.addEventListener("input", () => {
    list.box.draft = input.value;
    keep(list.box);
    look(list);
  });
  input.addEventListener("keydown", (event) => keyInAdding(list, event));
  input.addEventListener("blur", () => shut(list));
  // the mouse must not take the focus away before the click has arrived
  adding.options.addEventListener("mousedown", (event) => event.preventDefault());
  node.append(label, input, adding.options);
  return adding;
}

function look(list) {
  const { adding } = list;
  const raw = adding.input.value.trim();
  adding.found = matches(list.entries, raw).map((m) => ({ name: m.known.name, group: m.known.group, other: m.other, known: true }));
  if (raw) adding.found.push({ name: raw, group: "", other: "", known: false });
  adding.at = 0;
  adding.options.replaceChildren(...adding.found.map((found) => optionNode(list, found)));
  adding.options.setAttribute("aria-label", `names for ${raw}`);
  adding.options.hidden = !raw;
  adding.input.setAttribute("aria-expanded", raw ? "true" : "false");
  point(list);
  if (raw) adding.options.scrollIntoView({ block: "nearest" });
}

function optionNode(list, found) {
  const node = made("li", found.known ? "" : "unknown");
  node.id = freshId("option");
  node.setAttribute("role", "option");
  if (found.known) node.append(made("span", "", found.name));
  else node.append(made("span", "", `add “${found.name}” as typed`));
  if (found.other) node.append(made("span", "other", found.other));
  node.addEventListener("click", () => add(list, found));
  return node;
}

function point(list) {
  const { adding } = list;
  [...adding.options.children].forEach((node, at) => {
    node.setAttribute("aria-selected", at === adding.at ? "true" : "false");
    if (at === adding.at) node.scrollIntoView({ block: "nearest" });
  });
  const at = adding.options.children[adding.at];
  mark(adding.input, "aria-activedescendant", at && at.id);
}

function shut(list) {
  const { adding } = list;
  adding.options.hidden = true;
  adding.input.setAttribute("aria-expanded", "false");
  adding.input.removeAttribute("aria-activedescendant");
}

function keyInAdding(list, event) {
  const { adding } = list;
  const count = adding.found.length;
  if (event.isComposing) return;
  if (event.key === "Enter") {
    event.preventDefault();
    if (adding.options.hidden) look(list);
    if (adding.found[adding.at]) add(list, adding.found[adding.at]);
  } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    event.preventDefault();
    if (adding.options.hidden && adding.input.value.trim()) look(list);
    else if (event.key === "ArrowUp" && adding.options.hidden) goUp(list);
    else if (count) {
      adding.at = (event.key === "ArrowDown" ? adding.at + 1 : adding.at + count - 1) % count;
      point(list);
    }
  } else if (event.key === "Escape") {
    if (adding.options.hidden) clearAdding(list);
    shut(list);
  }
}

function goUp(list) {
  focusOn([...list.body.querySelectorAll(".cells .entry")].at(-1));
}

function clearAdding(list) {
  list.adding.input.value = "";
  list.adding.found = [];
  list.box.draft = "";
  keep(list.box);
}

function add(list, found) {
  const row = newRowId();
  const { group } = list.data.adding;
  const typed = list.adding.input.value;
  clearAdding(list);
  shut(list);
  put(list.box, { do: "add", row, name: found.name, typed, known: found.known, group: found.group || group || "" });
  list.box.fresh = row;
  draw(list);
  list.box.say(`${found.name} added`);
  const first = list.lines.get(row).node.querySelector(".cells .entry.amount, .cells .entry.text");
  focusOn(first || list.adding.input);
  sendNow(list.box);
}
