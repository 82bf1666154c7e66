/* What is seen of the outbox: the network's state, a banner, and what was refused.
 *
 * self.shopTold.show(seen, away) says what waits and since when, and what is wrong
 * (the tablet's clock too);
 * refused() lists what the server would not have, until somebody says that it is seen.
 */
(() => {
  "use strict";

  const cards = self.shopCards;

  function net(seen, away) {
    const place = document.getElementById("outbox-net");
    if (!place) return;
    const { count } = seen.waiting;
    place.textContent = count ? cards.say("waiting", { n: count }) : cards.say(away ? "noNet" : "inTouch");
    place.dataset.look = away || seen.barred ? "away" : count ? "waiting" : "ok";
  }

  function lines(seen, away) {
    const { count, since } = seen.waiting;
    const age = since ? lasting((Date.now() - since) / 1000) : cards.say("now");
    const given = { n: count, age };
    const said = [];
    if (seen.broken) said.push(cards.say(seen.broken));
    if (seen.barred) said.push(cards.say(seen.barred, given));
    // What is said of keeping would not be true of a tablet that cannot keep.
    else if (away && (count || !seen.broken)) said.push(cards.say(count ? "awayWaiting" : "away", given));
    if (away && !self.isSecureContext) said.push(cards.say("http"));
    if (seen.warning) said.push(seen.warning);
    return said;
  }

  function lasting(seconds) {
    const words = document.getElementById("away-words").dataset;
    return seconds < 30 ? cards.say("now") : self.shopLasting.said(seconds, words);
  }

  /* At the foot, where it takes no room from the work: it is mended anyway. */
  function clock() {
    const ahead = self.shopClock.ahead();
    const old = document.getElementById("outbox-clock");
    const text = ahead ? cards.say(ahead > 0 ? "ahead" : "behind", { age: lasting(Math.abs(ahead) * 60) }) : "";
    if (!text) {
      if (old) old.remove();
      return;
    }
    const place = old || Object.assign(document.createElement("p"), { id: "outbox-clock" });
    place.setAttribute("role", "status");
    if (place.textContent !== text) place.textContent = text;
    if (!old) document.querySelector(".station-foot").prepend(place);
  }

  function show(seen, away) {
    net(seen, away);
    clock();
    const said = lines(seen, away);
    let banner = document.getElementById("outbox-banner");
    if (!said.length) {
      if (banner) banner.remove();
      return;
    }
    if (!banner) {
      banner = cards.copy("banner");
      document.getElementById("main").prepend(banner);
    }
    banner.dataset.look = seen.broken || seen.warning ? "grave" : "plain";
    const list = cards.slot(banner, "lines");
    const text = said.join("\n");
    // Said anew only when it is new, or a screen reader would read it all day.
    if (list.dataset.said !== text) {
      list.dataset.said = text;
      list.replaceChildren(...said.map((line) => Object.assign(document.createElement("p"), { textContent: line })));
    }
    cards.slot(banner, "sign-in").hidden = seen.barred !== "stranger";
  }

  async function refused() {
    const rows = await self.shopStore.refused();
    const old = document.getElementById("outbox-refused");
    if (old) old.remove();
    if (!rows.length) return;
    const room = cards.copy("refused");
    cards.slot(room, "rows").append(...rows.sort((a, b) => a.number - b.number).map(line));
    const banner = document.getElementById("outbox-banner");
    if (banner) banner.after(room);
    else document.getElementById("main").prepend(room);
  }

  function line(row) {
    const made = cards.copy("refused-row");
    const about = row.title || row.serial || row.code;
    cards.put(made, {
      what: [cards.say(`said-${row.wish.toLowerCase()}`), about].filter(Boolean).join(" · "),
      at: cards.moment(Date.parse(row.madeAt)),
      sentence: row.sentence,
      remedy: row.remedy,
      code: row.refused,
    });
    made.querySelector("button").addEventListener("click", () => self.shopStore.forget(row.id).then(refused));
    return made;
  }

  self.shopTold = { show, refused };
})();
