// The page's own buttons: they are hidden where no scripts run.
"use strict";

function theme() {
  const button = document.getElementById("theme"), root = document.documentElement;
  const dark = matchMedia("(prefers-color-scheme: dark)");
  const now = () => root.dataset.theme ?? (dark.matches ? "dark" : "light");
  const label = () => {
    button.textContent = now() === "dark" ? "Light" : "Dark";
    button.setAttribute("aria-label", `Switch to ${button.textContent.toLowerCase()} colours`);
  };
  button.addEventListener("click", () => {
    root.dataset.theme = now() === "dark" ? "light" : "dark";
    label();
  });
  dark.addEventListener("change", label);
  button.hidden = false;
  label();
}

theme();
document.getElementById("print").hidden = false;
document.getElementById("print").addEventListener("click", () => print());
