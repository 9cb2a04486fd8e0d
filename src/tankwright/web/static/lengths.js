// A length as the drawing writes it, in the reader's units.

export function words(metres, svg) {
  if (svg.dataset.display === "US") {
    const inches = Math.round(metres / 0.0254);
    return `${Math.floor(inches / 12)} ft ${inches % 12} in`;
  }
  return metres < 2 ? `${Math.round(metres * 100)} cm` : `${metres.toFixed(2)} m`;
}
