/* The tablet's camera as a scanner.
 *
 * Hooks: [data-shop-camera-open], the button (camera_offer.js shows it); the panel
 * dialog[data-shop-camera] with its video, its sentences (data-shop-say-*) and the
 * addresses of the reader; its buttons [data-shop-camera-do] (torch, turn, again,
 * close). [data-shop-camera-many] anywhere on the page: the panel stays open and reads
 * one symbol after another.
 *
 * What is read goes out as "shop:scanned" with { text }, which wedge.js queues like
 * any scan. Nothing is loaded before the button is pressed. No picture is kept or
 * sent: frames go to the browser's own reader or to our worker, and are dropped. The
 * camera goes off when the page is hidden or left, and after a minute without a read.
 */
(() => {
  "use strict";

  const OFF_MS = 60000;
  const AGAIN_MS = 2000;
  const SAID_MS = 1500;
  const TAP_MS = 400;
  // At most eight looks a second, at a square a little larger than the drawn frame.
  const LOOK_MS = 125;
  const SHARE = 0.85;
  const SIDE = 640;
  const FORMAT = "qr_code";
  const FACING = "shop-camera-facing";
  const FAULTS = {
    NotAllowedError: "Denied",
    SecurityError: "Denied",
    NotFoundError: "None",
    OverconstrainedError: "None",
  };

  let run = null;
  let reader = null;
  let device = "";
  let closedAt = -Infinity;
  const lately = new Map();
  const canvas = document.createElement("canvas");

  function panel() {
    return document.querySelector("dialog[data-shop-camera]");
  }

  function button(room, name) {
    return room.querySelector(`[data-shop-camera-do=${name}]`);
  }

  function say(room, name) {
    room.dataset.shopCamera = name;
    room.querySelector("[data-shop-camera-said]").textContent = room.dataset[`shopSay${name}`];
    button(room, "again").hidden = Boolean(run);
    if (!run) ["torch", "turn"].forEach((one) => { button(room, one).hidden = true; });
  }

  /* The browser's own reader, if it has one for these symbols. */
  async function native() {
    try {
      const known = await BarcodeDetector.getSupportedFormats();
      return known.includes(FORMAT) ? new BarcodeDetector({ formats: [FORMAT] }) : null;
    } catch {
      return null;
    }
  }

  async function readerOf(addresses) {
    const own = await native();
    if (!own) return vendored(addresses);
    return async (picture) => {
      try {
        const found = await own.detect(picture);
        return found.map(({ rawValue, boundingBox: box }) => (
          { text: rawValue, x: box.x + box.width / 2, y: box.y + box.height / 2 }));
      } catch {
        // Some browsers offer it where the system has no service behind it.
        reader = vendored(addresses);
        return (await reader)(picture);
      }
    };
  }

  async function vendored({ shopWorker, shopScript: script, shopWasm: wasm }) {
    const worker = new Worker(shopWorker);
    let number = 0;
    const ask = (message, given = []) => new Promise((done, refuse) => {
      const id = number += 1;
      const fail = (why) => {
        worker.terminate();
        refuse(new Error(why));
      };
      worker.onmessage = ({ data }) => {
        // An answer to the panel before this one comes late.
        if (data.id !== id) return;
        if (data.fault) fail(data.fault);
        else done(data.found);
      };
      worker.onerror = (event) => {
        event.preventDefault();
        fail(event.message);
      };
      worker.postMessage({ ...message, id }, given);
    });
    await ask({ script, wasm });
    return (picture) => ask({ picture }, [picture.data.buffer]);
  }

  function facing() {
    try {
      return localStorage.getItem(FACING) || "environment";
    } catch {
      return "environment";
    }
  }

  function face(way) {
    try {
      localStorage.setItem(FACING, way);
    } catch {
      // A device that keeps nothing looks to the back each time.
    }
  }

  function wanted() {
    const which = device ? { deviceId: { exact: device } } : { facingMode: { ideal: facing() } };
    return { width: { ideal: 1280 }, height: { ideal: 720 }, ...which };
  }

  async function cameras() {
    const found = await navigator.mediaDevices.enumerateDevices();
    return found.filter((one) => one.kind === "videoinput");
  }

  function darken(stream) {
    stream.getTracks().forEach((track) => track.stop());
  }

  /* Puts the camera out; says why, if the panel stays. */
  function stop(why) {
    if (!run) return;
    const { room, video, stream, timers } = run;
    Object.values(timers).forEach(clearTimeout);
    if (stream) darken(stream);
    video.srcObject = null;
    run = null;
    if (why) say(room, why);
  }

  function close() {
    const room = panel();
    stop();
    if (!room || !room.open) return;
    room.close();
    closedAt = performance.now();
  }

  async function start() {
    stop();
    const room = panel();
    const mine = { room, video: room.querySelector("video"), stream: null, timers: {} };
    run = mine;
    say(room, "Starting");
    if (!room.open) room.show();
    wake(mine);
    reader = reader || readerOf(room.dataset);
    // Said when it is asked to read, and no sooner.
    reader.catch(() => {});
    try {
      const stream = await navigator.mediaDevices.getUserMedia({ audio: false, video: wanted() });
      // Closed while the browser asked for leave.
      if (run !== mine) return void darken(stream);
      mine.stream = stream;
      await show(mine);
    } catch (fault) {
      device = "";
      if (run === mine) stop(FAULTS[fault.name] || "Busy");
    }
    await look(mine);
  }

  async function show(mine) {
    const { room, video, stream } = mine;
    const [track] = stream.getVideoTracks();
    track.addEventListener("ended", () => { if (run === mine) stop("Busy"); });
    // In a mirror the hand finds the frame.
    video.classList.toggle("camera-mirrored", track.getSettings().facingMode === "user");
    video.srcObject = stream;
    await video.play();
    const can = track.getCapabilities ? track.getCapabilities() : {};
    if ((can.focusMode || []).includes("continuous")) {
      track.applyConstraints({ advanced: [{ focusMode: "continuous" }] }).catch(() => {});
    }
    const several = (await cameras()).length > 1;
    if (run !== mine) return;
    button(room, "torch").hidden = !can.torch;
    button(room, "torch").setAttribute("aria-pressed", "false");
    button(room, "turn").hidden = !several;
  }

  function wake(mine) {
    clearTimeout(mine.timers.off);
    mine.timers.off = setTimeout(stop, OFF_MS, "Tired");
  }

  function picture(video) {
    const { videoWidth: wide, videoHeight: high } = video;
    const side = Math.floor(Math.min(wide, high) * SHARE);
    const size = Math.min(side, SIDE);
    Object.assign(canvas, { width: size, height: size });
    const pen = canvas.getContext("2d", { willReadFrequently: true });
    pen.drawImage(video, (wide - side) / 2, (high - side) / 2, side, side, 0, 0, size, size);
    return pen.getImageData(0, 0, size, size);
  }

  async function look(mine) {
    if (run !== mine) return;
    // Another page may have been put in the place of this one.
    if (!mine.room.isConnected) return void stop();
    const began = performance.now();
    try {
      const read = await reader;
      if (run !== mine) return;
      if (mine.room.dataset.shopCamera === "Starting") say(mine.room, "Aim");
      const found = mine.video.videoWidth ? await read(picture(mine.video)) : [];
      if (run === mine) take(mine, found);
    } catch {
      reader = null;
      if (run === mine) stop("Unread");
    }
    const rest = LOOK_MS - (performance.now() - began);
    if (run === mine) mine.timers.look = setTimeout(look, rest, mine);
  }

  /* Of several symbols the one that is aimed at; one that stays in sight counts once. */
  function take(mine, found) {
    const off = ({ x, y }) => Math.hypot(x - canvas.width / 2, y - canvas.height / 2);
    const [nearest] = found.filter((one) => one.text).sort((a, b) => off(a) - off(b));
    if (!nearest) return;
    const { text } = nearest;
    const now = performance.now();
    const before = lately.get(text);
    const again = before && now - before.at < AGAIN_MS;
    // In sight all the while, it is still the same; a press is somebody's will.
    if (!again || before.run === mine) lately.set(text, { at: now, run: mine });
    if (again) return;
    if (document.querySelector("[data-shop-camera-many]")) {
      wake(mine);
      say(mine.room, "Read");
      clearTimeout(mine.timers.said);
      mine.timers.said = setTimeout(say, SAID_MS, mine.room, "Aim");
    } else close();
    document.dispatchEvent(new CustomEvent("shop:scanned", { detail: { text } }));
  }

  async function torch({ room, stream }) {
    const pressed = button(room, "torch");
    const on = pressed.getAttribute("aria-pressed") !== "true";
    try {
      await stream.getVideoTracks()[0].applyConstraints({ advanced: [{ torch: on }] });
      pressed.setAttribute("aria-pressed", String(on));
    } catch {
      pressed.hidden = true;
    }
  }

  /* Front and back where the device tells them apart, else the next camera. */
  async function turn({ stream }) {
    const { facingMode, deviceId } = stream.getVideoTracks()[0].getSettings();
    device = "";
    if (facingMode === "user") face("environment");
    else if (facingMode === "environment") face("user");
    else {
      const all = (await cameras()).map((one) => one.deviceId);
      device = all[(all.indexOf(deviceId) + 1) % all.length];
    }
    await start();
  }

  function press(name) {
    if (name === "close") close();
    else if (name === "again") start();
    else if (run && run.stream) (name === "torch" ? torch : turn)(run);
  }

  document.addEventListener("click", (event) => {
    const at = event.target instanceof Element ? event.target : null;
    if (event.detail && performance.now() - closedAt < TAP_MS) {
      // Meant for the panel, which has just gone from under the finger.
      event.preventDefault();
      event.stopImmediatePropagation();
    } else if (at && at.closest("[data-shop-camera-open]") && !run) start();
    else if (at && at.closest("[data-shop-camera-do]")) press(at.closest("[data-shop-camera-do]").dataset.shopCameraDo);
  }, true);
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) stop("Away");
  });
  window.addEventListener("pagehide", close);
})();
