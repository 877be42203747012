/** A line as it was drawn, in the sketch's own pixels. */
export interface Stroke {
  readonly width: number;
  readonly points: readonly { readonly x: number; readonly y: number }[];
}

/** The paper of a sketch, px. */
export const PAPER = { width: 1600, height: 1200 } as const;

/** Draws strokes in black on white, so that a sketch is readable in every appearance and on paper. */
export function drawStrokes(context: CanvasRenderingContext2D, strokes: readonly Stroke[]): void {
  context.fillStyle = '#fff';
  context.fillRect(0, 0, context.canvas.width, context.canvas.height);
  context.save();
  context.scale(context.canvas.width / PAPER.width, context.canvas.height / PAPER.height);
  context.strokeStyle = '#111';
  context.fillStyle = '#111';
  context.lineCap = 'round';
  context.lineJoin = 'round';
  for (const { width, points } of strokes) {
    const [first, ...rest] = points;
    if (!first) continue;
    context.lineWidth = width;
    context.beginPath();
    context.moveTo(first.x, first.y);
    // a touch that did not move is a dot
    if (rest.length === 0) context.lineTo(first.x + 0.1, first.y);
    for (const { x, y } of rest) context.lineTo(x, y);
    context.stroke();
  }
  context.restore();
}
