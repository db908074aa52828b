"""How a page looks in chromium: contrast of its texts, what sticks out of its width, sheets of paper."""

from __future__ import annotations

import re
from typing import Any

from tests.report.chromium import Chromium

CONTRASTS = """
((within) => {
  const painter = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const rgba = (colour) => {
    painter.clearRect(0, 0, 1, 1);
    painter.fillStyle = colour;
    painter.fillRect(0, 0, 1, 1);
    const [r, g, b, a] = painter.getImageData(0, 0, 1, 1).data;
    return [r, g, b, a / 255];
  };
  const over = (top, below) => [0, 1, 2].map((i) => top[i] * top[3] + below[i] * (1 - top[3]));
  const light = (colour) => {
    const [r, g, b] = colour.map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = (element) => {
    if (!element) return matchMedia("(prefers-color-scheme: dark)").matches ? [18, 18, 18] : [255, 255, 255];
    const own = rgba(getComputedStyle(element).backgroundColor);
    return own[3] === 1 ? own.slice(0, 3) : over(own, behind(element.parentElement));
  };
  const found = [];
  const walker = document.createTreeWalker(document.querySelector(within), NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const text = walker.currentNode.textContent.trim(), element = walker.currentNode.parentElement;
    if (!text || ["SCRIPT", "STYLE", "TITLE"].includes(element.tagName) || element.closest("svg")) continue;
    if (!element.checkVisibility({ visibilityProperty: true })) continue;
    const below = behind(element), ink = over(rgba(getComputedStyle(element).color), below);
    const [a, b] = [light(ink), light(below)];
    found.push({ text: text.slice(0, 40), ratio: (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05) });
  }
  return found;
})
"""
STICKING_OUT = """
(() => {
  const width = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth <= width) return [];
  return [...document.querySelectorAll("body *")].filter((part) => part.getBoundingClientRect().right > width + 1)
    .map((part) => part.tagName + " " + part.textContent.trim().slice(0, 30)).slice(0, 5).concat("page is too wide");
})()
"""


def contrasts(tab: Chromium, within: str = "body") -> list[dict[str, Any]]:
    """Each text and its contrast with what is behind it, by the WCAG 2.2 definition (1 to 21)."""
    found: list[dict[str, Any]] = tab.run(f'{CONTRASTS.strip()}("{within}")')
    assert found, "no text"
    return found


def sticks_out(tab: Chromium) -> list[str]:
    """Parts that make the page wider than the window; none where it fits."""
    parts: list[str] = tab.run(STICKING_OUT)
    return parts


def paper_pages(pdf: bytes) -> int:
    """Number of pages of a PDF."""
    return max(int(count) for count in re.findall(rb"/Count (\d+)", pdf))
