/* Where can the camera be a scanner?
 *
 * Hooks: [data-shop-camera-open], the button, shown only where the page is trusted (https
 * or the tablet itself) and the tablet has a camera; [data-shop-camera-not] with
 * "insecure" or "none", which says what to do where it is not. Looks again when a camera
 * is plugged in or the page has changed. Nothing is asked of the person here.
 */
(() => {
  "use strict";

  async function missing() {
    if (!window.isSecureContext) return "insecure";
    try {
      const found = await navigator.mediaDevices.enumerateDevices();
      return found.some((one) => one.kind === "videoinput") ? "" : "none";
    } catch {
      return "none";
    }
  }

  async function offer() {
    const lack = await missing();
    document.querySelectorAll("[data-shop-camera-open]").forEach((one) => { one.hidden = Boolean(lack); });
    document.querySelectorAll("[data-shop-camera-not]").forEach((one) => {
      one.hidden = one.dataset.shopCameraNot !== lack;
    });
  }

  document.addEventListener("htmx:load", offer);
  if (navigator.mediaDevices) navigator.mediaDevices.addEventListener("devicechange", offer);
  offer();
})();
