// One figure as a slide, 16 to 9: the sentence, how sure, the figure, and which gardens, season and day it is of.
"use strict";

(function () {
  const [WIDTH, HEIGHT, MARGIN] = [1920, 1080, 80];
  const SERIF = { family: "Longrow Serif", weight: 560, size: 50, leading: 60 };
  const SANS = { family: "Longrow Sans", weight: 400, size: 26, leading: 36 };
  const SMALL = { ...SANS, size: 22, leading: 30 };
  const MOST_LINES = 3;

  function textOf(element) {
    return element ? element.textContent.replace(/\s+/g, " ").trim() : "";
  }

  function escaped(words) {
    const names = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };
    return words.replace(/[&<>"]/g, (letter) => names[letter]);
  }

  function colour(name) {
    return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  }

  // The lines that the words take across the slide; what does not fit is cut and says so.
  function broken(words, type, most) {
    const canvas = document.createElement("canvas").getContext("2d");
    canvas.font = `${type.weight} ${type.size}px "${type.family}"`;
    const lines = window.longrow.drawn.wrapped(canvas, words, WIDTH - 2 * MARGIN);
    return lines.length > most ? [...lines.slice(0, most - 1), lines[most - 1] + " …"] : lines;
  }

  function written(lines, type, top, ink) {
    return lines
      .map(function (line, index) {
        const y = top + index * type.leading + type.size;
        return `<text x="${MARGIN}" y="${y}" fill="${ink}" font-family="${type.family}" font-weight="${type.weight}" font-size="${type.size}">${escaped(line)}</text>`;
      })
      .join("");
  }

  // The seven stakes of the wordmark on their ground line, at the right of the foot.
  function wordmark() {
    const stakes = [1, 2, 3, 4, 5, 6, 7].map(
      (row) => `<rect x="${(row - 1) * 6.2}" width="3.4" height="13" fill="${colour(`--row-${row}`)}"/>`,
    );
    const name = `<text x="54" y="16" fill="${colour("--ink")}" font-family="Longrow Serif" font-weight="650" font-size="20">Longrow</text>`;
    const ground = `<rect y="14.5" width="44" height="2.5" fill="${colour("--ink")}"/>`;
    return `<g transform="translate(${WIDTH - MARGIN - 236} ${HEIGHT - 74}) scale(1.7)">${stakes.join("")}${ground}${name}</g>`;
  }

  async function compose(frame) {
    const heading = textOf(document.getElementById("sentence")) || textOf(document.querySelector("main h1"));
    const sentence = broken(heading, SERIF, MOST_LINES);
    const sure = broken(textOf(document.querySelector("main .sure, main .lead-in")), SANS, 2);
    const about = textOf(document.getElementById("about")) || textOf(document.querySelector(".night p"));
    const below = MARGIN - 20 + sentence.length * SERIF.leading + 8;
    const top = below + sure.length * SANS.leading + 24;
    const room = { width: WIDTH - 2 * MARGIN, height: HEIGHT - 96 - top };
    const figure = await window.longrow.drawn.asSvg(frame.querySelector(".js-plotly-plot"));
    const scale = Math.min(room.width / figure.width, room.height / figure.height);
    const [width, height] = [figure.width * scale, figure.height * scale];
    const inner = figure.svg.replace(/^<\?xml[^>]*\?>/, "");
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="${WIDTH}" height="${HEIGHT}" viewBox="0 0 ${WIDTH} ${HEIGHT}">
<title>${escaped(heading)}</title>
<rect width="${WIDTH}" height="${HEIGHT}" fill="${colour("--paper")}"/>
${written(sentence, SERIF, MARGIN - 20, colour("--ink"))}${written(sure, SANS, below, colour("--ink2"))}
<svg x="${MARGIN + (room.width - width) / 2}" y="${top}" width="${width}" height="${height}" viewBox="0 0 ${figure.width} ${figure.height}">${inner}</svg>
${written([about], SMALL, HEIGHT - 78, colour("--ink2"))}${wordmark()}
</svg>`;
    return window.longrow.drawn.withFonts(svg);
  }

  async function take(frame, kind) {
    const drawn = window.longrow.drawn;
    const svg = await compose(frame);
    const name = `longrow-${frame.dataset.figure}-slide.${kind}`;
    if (kind === "svg") {
      drawn.save(new Blob([svg], { type: "image/svg+xml" }), name);
      return;
    }
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [WIDTH, HEIGHT];
    canvas.getContext("2d").drawImage(await drawn.asImage(svg), 0, 0);
    drawn.save(await drawn.toPng(canvas), name);
  }

  document.addEventListener("click", function (event) {
    const button = event.target.closest("[data-slide]");
    if (button) take(button.closest("[data-figure]"), button.dataset.slide);
  });
})();
