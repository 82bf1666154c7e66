/* The answer to a scan, across the screen and by ear.
 *
 * Hook: a piece with data-shop-answer (accepted, refused, look) and data-shop-word;
 * its svg.answer-shape is shown with the word. Found at load, in what htmx swaps
 * in, and in the target of "shop:answered". Two checkboxes, data-shop-answer-flash
 * and data-shop-answer-sound, switch it off; the choice stays with the device.
 * The sounds differ in rhythm, for ears under protection: accepted is two short
 * ones, refused two long ones, look one short and one long; a code that came again
 * ("shop:again") is one soft tick. Buttons with data-shop-try let each be tried, with
 * the choice off as well: so the volume is set.
 */
(() => {
  "use strict";

  const KINDS = {
    accepted: { hertz: 880, beats: [90, 90] },
    refused: { hertz: 220, beats: [380, 380] },
    look: { hertz: 440, beats: [90, 380] },
  };
  const AGAIN = { hertz: 330, beats: [60], loudness: 0.06 };
  const LOUDNESS = 0.25;
  const PAUSE_MS = 90;
  const FULL_MS = 700;
  const BAND_MS = 1800;
  const LEAST_BETWEEN_MS = 400;

  let flash = null;
  let timers = [];
  let flashedAt = -Infinity;
  let audio = null;

  function wanted(what) {
    try {
      return localStorage.getItem(`shop-answer-${what}`) !== "off";
    } catch {
      return true;
    }
  }

  function settings(room) {
    ["flash", "sound"].forEach((what) => {
      room.querySelectorAll(`[data-shop-answer-${what}]`).forEach((box) => {
        box.checked = wanted(what);
      });
    });
  }

  document.addEventListener("change", (event) => {
    ["flash", "sound"].forEach((what) => {
      if (!event.target.matches(`[data-shop-answer-${what}]`)) return;
      try {
        localStorage.setItem(`shop-answer-${what}`, event.target.checked ? "on" : "off");
      } catch {
        // A device that keeps nothing answers at the next page as it did before.
      }
    });
  });

  function drop() {
    timers.forEach(clearTimeout);
    timers = [];
    if (flash) flash.remove();
    flash = null;
  }

  function show(kind, piece) {
    const now = performance.now();
    // Fewer than three flashes a second: a quick follower changes the standing one
    // to a band instead of lighting the whole screen anew.
    const quick = now - flashedAt < LEAST_BETWEEN_MS;
    drop();
    flash = document.createElement("div");
    flash.className = `answer-flash answer-${kind}`;
    flash.setAttribute("aria-hidden", "true");
    const shape = piece.querySelector("svg.answer-shape");
    if (shape) flash.append(shape.cloneNode(true));
    flash.append(piece.dataset.shopWord || "");
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (quick || calm) flash.classList.add("answer-band");
    else {
      flashedAt = now;
      timers.push(setTimeout(() => flash.classList.add("answer-band"), FULL_MS));
    }
    timers.push(setTimeout(drop, BAND_MS));
    document.body.append(flash);
  }

  function sound(kind) {
    const Audio = window.AudioContext || window.webkitAudioContext;
    if (!Audio) return;
    audio = audio || new Audio();
    audio.resume();
    let at = audio.currentTime + 0.02;
    kind.beats.forEach((ms) => {
      const tone = audio.createOscillator();
      const loud = audio.createGain();
      tone.type = "square";
      tone.frequency.value = kind.hertz;
      loud.gain.setValueAtTime(0, at);
      loud.gain.linearRampToValueAtTime(kind.loudness || LOUDNESS, at + 0.01);
      loud.gain.setValueAtTime(kind.loudness || LOUDNESS, at + ms / 1000 - 0.01);
      loud.gain.linearRampToValueAtTime(0, at + ms / 1000);
      tone.connect(loud).connect(audio.destination);
      tone.start(at);
      tone.stop(at + ms / 1000);
      at += (ms + PAUSE_MS) / 1000;
    });
    if (navigator.vibrate) navigator.vibrate(kind.beats.flatMap((ms) => [ms, PAUSE_MS]));
  }

  document.addEventListener("shop:again", () => { if (wanted("sound")) sound(AGAIN); });
  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element && event.target.closest("[data-shop-try]");
    const kind = button && KINDS[button.dataset.shopTry];
    if (!kind) return;
    show(button.dataset.shopTry, button);
    sound(kind);
  });

  function answer(piece) {
    const kind = piece.dataset.shopAnswer;
    if (!Object.hasOwn(KINDS, kind) || piece.dataset.shopAnswered !== undefined) return;
    piece.dataset.shopAnswered = "";
    if (wanted("flash")) show(kind, piece);
    if (wanted("sound")) sound(KINDS[kind]);
  }

  function look(room) {
    if (!(room instanceof Element) && room !== document) return;
    if (room !== document && room.matches("[data-shop-answer]")) answer(room);
    else {
      const pieces = room.querySelectorAll("[data-shop-answer]");
      if (pieces.length) answer(pieces[pieces.length - 1]);
    }
    settings(room);
  }

  // htmx announces each piece it has swapped in, and the body once at load.
  document.addEventListener("htmx:load", (event) => look(event.detail.elt));
  document.addEventListener("shop:answered", (event) => look(event.target));
  look(document);
})();
