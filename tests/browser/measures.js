/* What a page looks like to a finger and an eye: boxes, sizes, what lies on top.
 *
 * Put into a page by measures.py; every answer is what the browser has laid out.
 */
window.measures = (() => {
  "use strict";

  const CONTROLS = "a[href], button, input:not([type=hidden]), select, textarea, summary";
  const FIELDS = "input:not([type=hidden], [type=image]), select, textarea";
  const SAYS_NOTHING = new Set(["SCRIPT", "STYLE", "TITLE", "DESC", "OPTION"]);

  /* Not hidden, not folded away, not for screen readers alone. */
  function seen(one) {
    const shown = one.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true });
    return shown && !one.closest(".out-of-sight, .skip");
  }

  function said(one) {
    const text = one.innerText || one.getAttribute("aria-label") || one.value || one.name;
    return (text || one.tagName).trim().replace(/\s+/g, " ").slice(0, 40);
  }

  /* Every control with the box that a finger may touch: a tick's is its label's. */
  function controls() {
    return [...document.querySelectorAll(CONTROLS)].filter(seen).map((one) => {
      const tick = one.matches("[type=radio], [type=checkbox]");
      const area = (tick && one.closest("label")) || one;
      const box = area.getBoundingClientRect();
      const inText = one.tagName === "A" && getComputedStyle(one).display === "inline";
      return { said: said(area), x: box.x, y: box.y + scrollY, wide: box.width, high: box.height, inText };
    });
  }

  function px(one) {
    return parseFloat(getComputedStyle(one).fontSize);
  }

  /* Every piece of text that is seen. */
  function* pieces() {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const one = node.parentElement;
      const silent = SAYS_NOTHING.has(one.tagName.toUpperCase()) || one.matches("details:not([open])");
      if (node.textContent.trim() && !silent && seen(one)) yield node;
    }
  }

  /* Every piece of text with its size as painted; drawings are scaled. */
  function texts() {
    const found = [];
    for (const node of pieces()) {
      const one = node.parentElement;
      const scale = one instanceof SVGElement ? one.getScreenCTM().d : 1;
      found.push({ said: node.textContent.trim().slice(0, 40), px: px(one) * scale });
    }
    const fields = [...document.querySelectorAll(FIELDS)].filter(seen);
    return found.concat(fields.map((one) => ({ said: said(one), px: px(one) })));
  }

  /* What moves the work, and what stops it: the boxes of the main actions. */
  const MAIN = ".press, .keys button, .keys-enter, .else > .button, .hold > summary, .choices label, .queue .next a";
  const GRAVE = ".button-grave, .press-bad, .hold > summary";
  const NEXT = ".press-next:not(.press-bad)";

  function boxes(selector) {
    return [...document.querySelectorAll(selector)].filter(seen).map((one) => {
      const box = one.getBoundingClientRect();
      return { said: said(one), x: box.x, y: box.y, wide: box.width, high: box.height };
    });
  }
  const mains = () => boxes(MAIN);
  const graves = () => boxes(GRAVE);
  const nexts = () => boxes(NEXT);

  /* Relative luminance and contrast, as WCAG 2.2 defines them. */
  function colour(text) {
    const [r, g, b, a = 1] = text.match(/[\d.]+/g).map(Number);
    return { r, g, b, a };
  }
  function luminance({ r, g, b }) {
    const [red, green, blue] = [r, g, b].map((c) => {
      const share = c / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  }
  function contrast(one, other) {
    const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
    return (light + 0.05) / (dark + 0.05);
  }
  function ground(one) {
    for (let at = one; at; at = at.parentElement) {
      const found = colour(getComputedStyle(at).backgroundColor);
      if (found.a === 1) return found;
    }
    return colour("rgb(255, 255, 255)");
  }

  /* How well the edge or the body of a control stands out from what is round it. */
  function edges() {
    const drawn = `a.button, button, ${FIELDS}, .queue a, .choices label, .place a`;
    return [...document.querySelectorAll(drawn)].filter(seen).filter((one) =>
      !one.disabled && !one.matches("[type=checkbox], [type=radio]")).map((one) => {
      const style = getComputedStyle(one);
      const round = ground(one.parentElement);
      const edge = colour(style.borderTopColor);
      const has = parseFloat(style.borderTopWidth) > 0 && edge.a === 1;
      const best = Math.max(contrast(ground(one), round), has ? contrast(edge, round) : 1);
      return { said: said(one), best, bare: !has && !one.matches(FIELDS) };
    });
  }

  /* Where the focus is: its ring, and whether anything lies over it. */
  function focus() {
    const one = document.activeElement;
    const style = getComputedStyle(one);
    const box = one.getBoundingClientRect();
    const at = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    const covers = at && (one.contains(at) || at.contains(one));
    const tick = one.matches(".choices input") && one.closest("label");
    const ringed = tick ? getComputedStyle(tick) : style;
    return {
      said: said(one),
      isPage: one === document.body,
      ring: ringed.outlineStyle === "none" ? 0 : parseFloat(ringed.outlineWidth),
      stands: contrast(colour(ringed.outlineColor), ground(parseFloat(ringed.outlineOffset) < 0 ? one : one.parentElement)),
      open: Boolean(covers) && box.top > -1 && box.bottom < innerHeight + 1,
    };
  }

  /* WCAG 2.2, 1.4.12: wide spacing, put on as a reader's own sheet would be. */
  function space(on) {
    const sheet = new CSSStyleSheet();
    sheet.replaceSync("* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; } p { margin-bottom: 2em !important; }");
    document.adoptedStyleSheets = on ? [sheet] : [];
    return [];
  }

  /* Text that is cut off by its own box, or runs out of a control. */
  function cut() {
    return [...document.querySelectorAll("body *")].filter(seen).filter((one) => {
      const hides = getComputedStyle(one).overflowX !== "visible" && !one.matches(`${FIELDS}, .fb-room, .table-room, .card-room, svg, svg *`);
      const holds = one.matches("button, .button, summary, .queue a, .choices label");
      return (hides || holds) && one.scrollWidth > one.clientWidth + 1;
    }).map(said);
  }

  function weights() {
    const found = [...document.querySelectorAll("body *")].filter(seen).filter((one) => one.innerText);
    return [...new Set(found.map((one) => Number(getComputedStyle(one).fontWeight)))];
  }

  function operations() {
    return [...document.querySelectorAll(".operation")].filter(seen).map(px);
  }

  /* Where a thing stands, and whether a finger on its middle and corners meets it. */
  function reach(selector) {
    return [...document.querySelectorAll(selector)].filter(seen).map((one) => {
      const box = one.getBoundingClientRect();
      const spots = [[0.5, 0.5], [0.04, 0.1], [0.96, 0.1], [0.04, 0.9], [0.96, 0.9]];
      const met = spots.every(([across, down]) => {
        const at = document.elementFromPoint(box.x + box.width * across, box.y + box.height * down);
        return at && one.contains(at);
      });
      const inside = box.top > -1 && box.left > -1 && box.bottom < innerHeight + 1 && box.right < innerWidth + 1;
      return { inside, met, right: box.right, bottom: box.bottom, wide: innerWidth, high: innerHeight };
    });
  }

  /* What makes the page wider than the screen; tables and boards may be pushed. */
  function stickingOut() {
    if (document.documentElement.scrollWidth <= innerWidth) return [];
    const wide = [...document.querySelectorAll("body *")].filter((one) =>
      one.getBoundingClientRect().right > innerWidth + 0.5 && !one.closest(".table-room, .fb-room"));
    return [`page ${document.documentElement.scrollWidth}`].concat(
      wide.slice(0, 4).map((one) => `${one.tagName} ${one.getAttribute("class")}`));
  }

  /* The lines of each piece of text, as far as their boxes let them be seen. */
  function lines() {
    const found = [];
    const range = document.createRange();
    const known = new Map();
    for (const node of pieces()) {
      if (node.parentElement instanceof SVGElement) continue;
      range.selectNodeContents(node);
      const { layer, clips } = held(node.parentElement, known);
      for (const box of range.getClientRects()) {
        const line = { layer, text: node.textContent.trim(), left: box.left, right: box.right, top: box.top, bottom: box.bottom };
        for (const clip of clips) {
          line.left = Math.max(line.left, clip.left);
          line.right = Math.min(line.right, clip.right);
          line.top = Math.max(line.top, clip.top);
          line.bottom = Math.min(line.bottom, clip.bottom);
        }
        if (line.right > line.left && line.bottom > line.top) found.push(line);
      }
    }
    return found;
  }

  /* What a text is laid upon, and what cuts it off: what floats may lie over the rest. */
  function held(one, known) {
    if (known.has(one)) return known.get(one);
    const style = getComputedStyle(one);
    const floats = one === document.body || !["static", "relative"].includes(style.position);
    const { layer, clips } = floats ? { layer: one, clips: [] } : held(one.parentElement, known);
    const cuts = one !== document.body && style.overflowX !== "visible" && style.display !== "inline";
    const told = { layer, clips: cuts ? [one.getBoundingClientRect(), ...clips] : clips };
    known.set(one, told);
    return told;
  }

  /* Texts that are printed over each other: by two pixels, and by half a line's height. */
  function printedOver() {
    const all = lines().sort((one, other) => one.top - other.top);
    const found = [];
    for (let first = 0; first < all.length; first += 1) {
      const one = all[first];
      for (let next = first + 1; next < all.length && all[next].top < one.bottom; next += 1) {
        const other = all[next];
        const across = Math.min(one.right, other.right) - Math.max(one.left, other.left);
        const down = Math.min(one.bottom, other.bottom) - other.top;
        const half = Math.min(one.bottom - one.top, other.bottom - other.top) / 2;
        if (one.layer === other.layer && across > 2 && down > half) {
          found.push(`${one.text.slice(0, 40)} | ${other.text.slice(0, 40)}`);
        }
      }
    }
    return found;
  }

  return {
    controls, texts, operations, reach, stickingOut, printedOver, mains, graves, nexts, edges, focus,
    space, cut, weights,
  };
})();
