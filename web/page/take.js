// Taking results along: files to save, pictures in pixels, the sheet to look at and to print.
import { byId } from "./dom.js";

/// Hands a file to the browser to be saved.
export function save(name, bytes, type) {
  const url = URL.createObjectURL(new Blob([bytes], { type }));
  const link = document.createElement("a");
  link.href = url;
  link.download = name.replace(/[\\/:*?"<>|\u0000-\u001f\u202a-\u202e\u2066-\u2069]/g, "_").slice(0, 120);
  link.click();
  // The browser may still be reading it.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/// A name without folders and ending.
export function stem(name) {
  return name.split(/[\\/]/).pop().replace(/\.dxf$/i, "") || "drawing";
}

/// A picture in pixels of one written as SVG.
export async function pixels(svg, width = 1600) {
  const url = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = width;
    canvas.height = Math.max(1, Math.round((width * image.naturalHeight) / image.naturalWidth));
    const context = canvas.getContext("2d");
    context.fillStyle = "#ffffff";
    context.fillRect(0, 0, canvas.width, canvas.height);
    context.drawImage(image, 0, 0, canvas.width, canvas.height);
    return await new Promise((resolve, refuse) => {
      canvas.toBlob((blob) => (blob ? resolve(blob) : refuse(new Error("the browser makes no picture of this size"))), "image/png");
    });
  } finally {
    URL.revokeObjectURL(url);
  }
}

/// Lays a sheet into the frame of its own. The policy of this page holds there too and lets no style through that stands in
/// markup, so rules are handed over as an object and widths one by one; the sheet has no script.
export function layOut(page) {
  const frame = byId("sheet-frame");
  const begins = page.indexOf("<style>");
  const ends = page.indexOf("</style>", begins);
  const rules = page.slice(begins + "<style>".length, ends);
  const rest = page.slice(0, begins) + page.slice(ends + "</style>".length);
  // In texts of the drawing these marks are written otherwise, so that attributes of the sheet alone are met.
  const markup = rest.replaceAll(/ style="--width:\s*([\d.]+px)"/g, ' data-width="$1"');
  const sheet = new DOMParser().parseFromString(markup, "text/html");
  const within = frame.contentDocument;
  within.documentElement.lang = "en";
  within.title = sheet.title;
  const body = within.importNode(sheet.body, true);
  for (const box of body.querySelectorAll("[data-width]")) box.style.setProperty("--width", box.dataset.width);
  within.body.replaceWith(body);
  const styles = new frame.contentWindow.CSSStyleSheet();
  styles.replaceSync(rules);
  within.adoptedStyleSheets = [styles];
}
