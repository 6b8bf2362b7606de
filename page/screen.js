// The page on a screen that is held in a hand: what is above the keyboard, which hand, whether a finger is down.
//
// A classic script that leaves one name, `swathlintScreen`.
"use strict";

var swathlintScreen = (function () {
  const at = (id) => document.getElementById(id);
  let isPressed = false;

  function setHand(isLeft) {
    document.body.classList.toggle("left", isLeft);
    at("left-handed").setAttribute("aria-pressed", String(isLeft));
  }

  /** The bar stands above the keyboard, also where the keyboard covers the page. */
  function keepAboveKeyboard() {
    const view = window.visualViewport;
    const moved = () => {
      const covered = Math.max(0, window.innerHeight - view.height - view.offsetTop);
      const isZoomed = view.scale > 1.05;
      document.documentElement.style.setProperty("--covered", `${isZoomed ? 0 : covered}px`);
    };
    if (view) {
      view.addEventListener("resize", moved);
      view.addEventListener("scroll", moved);
    }
  }

  function listen() {
    keepAboveKeyboard();
    at("left-handed").addEventListener("click", () => {
      const isLeft = !document.body.classList.contains("left");
      setHand(isLeft);
      swathlintStore.setLeftHanded(isLeft);
    });
    // The keys of the bar leave the keyboard of the phone as it is.
    at("bar").addEventListener("pointerdown", (event) => event.preventDefault());
    for (const [event, is] of [["pointerdown", true], ["pointerup", false], ["pointercancel", false]]) {
      document.addEventListener(event, () => (isPressed = is), true);
    }
  }

  return {
    get isPressed() {
      return isPressed;
    },
    ...{ setHand, listen },
  };
})();
