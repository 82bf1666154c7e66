/* Asks the worker to keep this station's page, and to send what waits.
 *
 * self.shopKeeper: offerPage() registers the worker (worker.js) and gives it the page
 * once it is ready; offerSync() asks the browser to wake it when the network is back.
 * On a plain http address there is no worker: the page then works while it is open.
 */
(() => {
  "use strict";

  const root = document.getElementById("outbox");
  // Who has left, though the server has not heard of it, leaves no page behind.
  let left = false;
  document.addEventListener("shop:leaving", () => { left = true; });

  async function offerPage() {
    if (!navigator.serviceWorker) return;
    const { worker: url, scope, here } = root.dataset;
    const made = await navigator.serviceWorker.register(url, { scope, updateViaCache: "none" });
    const worker = made.installing || made.waiting || made.active;
    const ask = () => { if (worker.state === "activated" && !left) worker.postMessage({ keep: new URL(here, location).href }); };
    worker.addEventListener("statechange", ask);
    ask();
  }

  async function offerSync() {
    if (!navigator.serviceWorker) return;
    const made = await navigator.serviceWorker.getRegistration(root.dataset.here);
    if (made && made.sync) made.sync.register("shop-outbox").catch(() => {});
  }

  self.shopKeeper = { offerPage, offerSync };
})();
