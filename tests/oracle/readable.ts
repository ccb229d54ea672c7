/** The same text with JSON laid out, a value in a line, so that a comparison shows which; nothing is left out or put in another order. */
export const readable = (text: string): string => `${text.split("\n").map(laidOut).join("\n")}\n`;

function laidOut(line: string): string {
  const at = line.search(/[{[]/);
  if (at < 0) return line;
  try {
    return line.slice(0, at) + JSON.stringify(JSON.parse(line.slice(at)), null, 1);
  } catch {
    return line;
  }
}
