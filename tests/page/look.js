// Measures a page that a frame shows, and leaves what it found in the outer page.
// Given before: PAGE (its text), WIDTH (of the frame, px), TALLEST (of a printed page, px; 0 on the screen).
const found = { errors: [], blocked: [], wide: [], faint: [], tall: [], figures: 0, texts: 0 };
const frame = document.createElement("iframe");
frame.style.cssText = "border:0;height:3000px;width:" + WIDTH + "px";
document.body.append(frame);

function channel(value) {
  const share = value / 255;
  return share <= 0.04045 ? share / 12.92 : Math.pow((share + 0.055) / 1.055, 2.4);
}
// Relative luminance and contrast as WCAG 2.1 defines them.
function luminance(rgb) {
  return 0.2126 * channel(rgb[0]) + 0.7152 * channel(rgb[1]) + 0.0722 * channel(rgb[2]);
}
function contrast(one, other) {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}
function colour(text) {
  const parts = (text.match(/[\d.]+/g) || []).map(Number);
  return { rgb: parts.slice(0, 3), opacity: parts.length > 3 ? parts[3] : 1 };
}
function behind(element, view) {
  for (let at = element; at; at = at.parentElement) {
    const ground = colour(view.getComputedStyle(at).backgroundColor);
    if (ground.opacity === 1) return ground.rgb;
  }
  return [255, 255, 255];
}

frame.addEventListener("load", () => {
  const page = frame.contentDocument, view = frame.contentWindow;
  const root = page.documentElement;
  if (root.scrollWidth > WIDTH) found.wide.push("page " + root.scrollWidth);
  for (const element of page.querySelectorAll("body *")) {
    const scrolls = element.closest(".scrolls, svg, head");
    const box = element.getBoundingClientRect();
    if (!scrolls && box.right > WIDTH + 0.5) found.wide.push(element.tagName + "." + element.className + " " + box.right);
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (own && box.width > 0 && !element.closest("script, style")) {
      found.texts += 1;
      const style = view.getComputedStyle(element);
      const isDrawn = element instanceof view.SVGElement;
      const ink = colour(isDrawn ? style.fill : style.color).rgb;
      // Drawn words stand on white, on the pale ground of a drawing, or in a mark of their own.
      const mark = isDrawn && element.closest(".number") ? element.parentElement.querySelector("circle, rect") : null;
      const ground = mark ? colour(view.getComputedStyle(mark).fill).rgb : isDrawn ? [239, 231, 216] : behind(element, view);
      const ratio = contrast(ink, ground);
      if (ratio < 4.5) found.faint.push(ratio.toFixed(2) + " " + element.textContent.slice(0, 40));
    }
  }
  for (const figure of page.querySelectorAll("figure, .first")) {
    found.figures += 1;
    const height = figure.getBoundingClientRect().height;
    if (TALLEST > 0 && height > TALLEST) found.tall.push(figure.className + " " + height.toFixed(0));
  }
  // What the frame tells of errors comes by messages, after its load.
  setTimeout(() => {
    const result = document.createElement("pre");
    result.id = "found";
    result.textContent = JSON.stringify(found);
    document.body.append(result);
  }, 500);
});
window.addEventListener("message", (event) => found[event.data.kind].push(event.data.text));
const listen =
  "<script>addEventListener('error',e=>parent.postMessage({kind:'errors',text:String(e.message)},'*'));" +
  "addEventListener('securitypolicyviolation',e=>parent.postMessage({kind:'blocked',text:e.blockedURI},'*'));</" + "script>";
frame.srcdoc = PAGE.replace("<head>", "<head>" + listen);
