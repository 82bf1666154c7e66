/* Finds QR symbols in pictures, off the page's own thread, so that no press waits.
 *
 * A worker of camera.js. First message: { script, wasm }, the addresses of the
 * vendored reader, which match each other to the version; then { id, picture }, an
 * ImageData each. Each message gets one answer with its id: { found } or { fault }.
 * Nothing is kept of a picture.
 */
"use strict";

let detector = null;

function begin({ script, wasm }) {
  importScripts(script);
  const { BarcodeDetector, prepareZXingModule } = self.BarcodeDetectionAPI;
  // The library alone would fetch it from a public host.
  const locateFile = (name, folder) => (name.endsWith(".wasm") ? wasm : folder + name);
  const ready = prepareZXingModule({ overrides: { locateFile }, fireImmediately: true });
  detector = new BarcodeDetector({ formats: ["qr_code"] });
  return ready;
}

self.addEventListener("message", async ({ data }) => {
  const answer = { id: data.id, found: [] };
  try {
    if (data.script) await begin(data);
    else {
      answer.found = (await detector.detect(data.picture)).map(({ rawValue, boundingBox: box }) => (
        { text: rawValue, x: box.x + box.width / 2, y: box.y + box.height / 2 }));
    }
  } catch (fault) {
    answer.fault = String(fault);
  }
  self.postMessage(answer);
});
