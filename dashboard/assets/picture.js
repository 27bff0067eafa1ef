// A figure as a picture: drawn here in the browser with its own fonts, the sentence above it, nothing sent anywhere.
"use strict";

(function () {
  const SCALE = 2;
  const MARGIN = 40;
  const FONTS = [
    ["Longrow Sans", "/assets/fonts/atkinson-next.woff2", "200 800"],
    ["Longrow Serif", "/assets/fonts/besley.woff2", "400 900"],
  ];

  function asDataAddress(blob) {
    return new Promise(function (resolve, reject) {
      const reader = new FileReader();
      reader.onload = () => resolve(reader.result);
      reader.onerror = () => reject(reader.error);
      reader.readAsDataURL(blob);
    });
  }

  // An SVG used as an image sees no fonts of the page, so they travel inside it.
  async function fontFaces() {
    const faces = FONTS.map(async function ([family, address, weights]) {
      const font = await (await fetch(address)).blob();
      const source = await asDataAddress(font);
      return `@font-face{font-family:"${family}";font-weight:${weights};src:url("${source}") format("woff2")}`;
    });
    return (await Promise.all(faces)).join("");
  }

  // The figure as the text of an SVG, at its own size.
  async function asSvg(graph) {
    const box = { width: graph.clientWidth, height: graph.clientHeight };
    const address = await window.Plotly.toImage(graph, { format: "svg", ...box });
    return { svg: decodeURIComponent(address.slice(address.indexOf(",") + 1)), ...box };
  }

  async function withFonts(svg) {
    return svg.replace(/(<svg[^>]*>)/, `$1<style>${await fontFaces()}</style>`);
  }

  async function asImage(svg) {
    const image = new Image();
    image.src = "data:image/svg+xml;charset=utf-8," + encodeURIComponent(svg);
    await image.decode();
    return image;
  }

  async function drawing(graph) {
    const { svg, ...box } = await asSvg(graph);
    return { image: await asImage(await withFonts(svg)), ...box };
  }

  function save(blob, name) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = name;
    link.click();
    window.setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  }

  function toPng(canvas) {
    return new Promise((resolve) => canvas.toBlob(resolve, "image/png"));
  }

  function wrapped(canvas, words, width) {
    const lines = [""];
    for (const word of words.split(/\s+/)) {
      const longer = lines.at(-1) ? lines.at(-1) + " " + word : word;
      if (canvas.measureText(longer).width > width && lines.at(-1)) lines.push(word);
      else lines[lines.length - 1] = longer;
    }
    return lines;
  }

  function write(canvas, lines, font, colour, left, top, leading) {
    canvas.font = font;
    canvas.fillStyle = colour;
    lines.forEach((line, index) => canvas.fillText(line, left, top + index * leading));
  }

  // Returns a canvas with the page's sentence, the figure and its caption.
  async function compose(frame) {
    const { image, width, height } = await drawing(frame.querySelector(".js-plotly-plot"));
    const style = getComputedStyle(document.documentElement);
    const colour = (name) => style.getPropertyValue(name).trim();
    const [serif, sans] = ["560 24px 'Longrow Serif'", "400 15px 'Longrow Sans'"];
    const canvas = document.createElement("canvas").getContext("2d");
    const text = (element) => (element ? element.textContent.trim() : "");
    canvas.font = serif;
    const heading = wrapped(canvas, text(document.getElementById("sentence")), width);
    canvas.font = sans;
    const below = wrapped(canvas, text(frame.querySelector("figcaption")), width);
    const top = MARGIN + heading.length * 30 + 16;
    canvas.canvas.width = (width + 2 * MARGIN) * SCALE;
    canvas.canvas.height = (top + height + below.length * 22 + MARGIN + 24) * SCALE;
    canvas.scale(SCALE, SCALE);
    canvas.fillStyle = colour("--paper");
    canvas.fillRect(0, 0, canvas.canvas.width, canvas.canvas.height);
    write(canvas, heading, serif, colour("--ink"), MARGIN, MARGIN + 22, 30);
    canvas.drawImage(image, MARGIN, top, width, height);
    write(canvas, below, sans, colour("--ink2"), MARGIN, top + height + 26, 22);
    return canvas.canvas;
  }

  async function take(frame) {
    save(await toPng(await compose(frame)), `longrow-${frame.dataset.figure}.png`);
  }

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-picture]");
    if (button) take(button.closest("[data-figure]"));
  });

  // For slides, which are put together from the same parts.
  window.longrow.drawn = { asSvg, withFonts, asImage, wrapped, save, toPng };
})();
