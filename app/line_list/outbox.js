// What was typed and not yet taken up by the page: numbered, kept by the browser, sent one at a time.

const AFTER_TYPING = 350; // ms of rest before a text that is still being typed is sent
const BETWEEN = 120; // ms, so that a page under a stream of edits also draws its answers
const LOST = 10000; // ms without an answer until the same is sent again
const SLOW = 2500; // ms without an answer until the list says so

// by key; lasts as long as the tab, over changes of page
const boxes = new Map();
const namesByDigest = new Map();

function storageName(key) {
  return `line list ${key}`;
}

function keep(box) {
  try {
    if (box.ops.length || box.draft) {
      const kept = JSON.stringify({ ops: box.ops, draft: box.draft });
      sessionStorage.setItem(storageName(box.key), kept);
    } else sessionStorage.removeItem(storageName(box.key));
  } catch {
    // a browser that keeps nothing loses nothing but this over a reload
  }
}

function keptBefore(key) {
  try {
    return JSON.parse(sessionStorage.getItem(storageName(key)) || "null");
  } catch {
    return null;
  }
}

// After a reload nobody knows whether the last lines added had arrived: texts are put back where their
// line still is, a name goes back to where it was typed.
function newBox(data) {
  const box = {
    key: data.key, to: data.to, taken: data.taken, sent: data.taken, last: data.taken,
    ops: [], draft: "", tries: 0, sentAt: 0, timer: 0, slow: 0, open: "", focus: null, send: () => {}, say: () => {},
  };
  const kept = keptBefore(data.key);
  if (!kept) return box;
  const rows = new Set(data.rows.map((row) => row.id));
  box.draft = kept.draft || "";
  for (const op of kept.ops || []) {
    if (op.do === "text" && rows.has(op.row)) put(box, op);
    else if (op.do === "add" && !rows.has(op.row) && !box.draft) box.draft = op.typed;
  }
  return box;
}

function boxOf(data) {
  if (!boxes.has(data.key)) boxes.set(data.key, newBox(data));
  const box = boxes.get(data.key);
  if (box.to !== data.to) {
    // a new session has taken nothing of what waits here
    box.to = data.to;
    box.sent = 0;
  }
  box.taken = data.taken;
  if (box.last < data.taken) box.last = data.taken;
  box.ops = box.ops.filter((op) => op.n > data.taken);
  keep(box);
  return box;
}

function put(box, op) {
  // an older text of the same field that has not left yet is replaced, unless something was done since
  const at = box.ops.findIndex((o) => o.do === "text" && o.row === op.row && o.field === op.field);
  if (op.do === "text" && at >= 0 && box.ops[at].n > box.sent) {
    if (box.ops.slice(at).every((o) => o.do === "text")) box.ops.splice(at, 1);
  }
  box.last += 1;
  box.ops.push({ ...op, n: box.last });
  keep(box);
}

function waitingText(box, row, field) {
  const op = box.ops.findLast((o) => o.do === "text" && o.row === row && o.field === field);
  return op && op.text;
}

function sendSoon(box, wait) {
  clearTimeout(box.timer);
  box.timer = setTimeout(() => sendNow(box), wait);
}

function sendNow(box) {
  clearTimeout(box.timer);
  if (!box.ops.length) return;
  const now = Date.now();
  const underWay = box.sent > box.taken && now < box.sentAt + LOST;
  if (underWay) {
    sendSoon(box, LOST); // the answer sends the rest; this is for an answer that never comes
    return;
  }
  box.sent = box.last;
  box.sentAt = now;
  box.tries += 1;
  box.send({ to: box.to, holds: box.holds || "", tries: box.tries, ops: box.ops });
  sendSoon(box, LOST);
  clearTimeout(box.slow);
  box.slow = setTimeout(() => {
    if (box.ops.length) box.say("Not taken up yet; what you typed is held here.");
  }, SLOW);
}

function answered(box) {
  clearTimeout(box.timer);
  if (!box.ops.length) {
    clearTimeout(box.slow);
    box.say("");
  } else if (box.sent <= box.taken) sendSoon(box, BETWEEN);
  else sendSoon(box, LOST);
}
