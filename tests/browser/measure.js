// Tells of each page in a frame how wide it is, what of it stands outside, and what of it lies over something else.
const boxes = (page) => {
  const found = [];
  const walk = page.createTreeWalker(page.body, NodeFilter.SHOW_TEXT);
  const add = (what, rect, trim) => {
    if (rect.width < 1 || rect.height < 1) return;
    const cut = trim * rect.height;
    found.push({ what, left: rect.left, right: rect.right, top: rect.top + cut, bottom: rect.bottom - cut });
  };
  while (walk.nextNode()) {
    const node = walk.currentNode;
    if (!node.textContent.trim() || node.parentElement.closest("title, desc, style")) continue;
    const range = page.createRange();
    range.selectNodeContents(node);
    // A line's box is taller than its letters.
    for (const rect of range.getClientRects()) add(node.textContent.trim().slice(0, 60), rect, 0.2);
  }
  for (const each of page.querySelectorAll("input, img")) add(each.id || each.tagName, each.getBoundingClientRect(), 0);
  return found;
};

const told = (frame) => {
  const page = frame.contentDocument;
  const all = boxes(page);
  const wide = frame.clientWidth;
  const over = [];
  all.forEach((one, index) => all.slice(index + 1).forEach((other) => {
    const across = Math.min(one.right, other.right) - Math.max(one.left, other.left);
    const down = Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top);
    if (across > 0.5 && down > 0.5) over.push([one.what, other.what]);
  }));
  const outside = all.filter((one) => one.left < -0.5 || one.right > wide + 0.5).map((one) => one.what);
  return { name: frame.title, wide, scroll: page.documentElement.scrollWidth, count: all.length, outside, over };
};

addEventListener("load", () => {
  const found = [...document.querySelectorAll("iframe")].map(told);
  const page = document.createElement("pre");
  page.textContent = JSON.stringify(found);
  document.body.replaceChildren(page);
});
