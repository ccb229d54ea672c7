const wide =
  /[\u1100-\u115F\u2E80-\u303E\u3041-\uA4CF\uAC00-\uD7A3\uF900-\uFAFF\uFE30-\uFE6F\uFF00-\uFF60\uFFE0-\uFFE6\u{1F300}-\u{1FAFF}]/u;
const bare = /[\p{Mn}\p{Me}\p{Cf}]/u;

/** Columns that a text takes in a terminal: East Asian letters two, combining marks none. */
export function textWidth(text: string): number {
  let columns = 0;
  for (const letter of text) columns += bare.test(letter) ? 0 : wide.test(letter) ? 2 : 1;
  return columns;
}

/** Cut with “…” or filled with blanks to exactly so many columns. Letters that could move the cursor are taken out. */
export function fitted(text: string, columns: number, side: "left" | "right" = "left"): string {
  let kept = text.replace(/\p{Cc}/gu, " ");
  if (textWidth(kept) > columns) {
    let start = "";
    let room = columns - 1;
    for (const letter of kept) {
      room -= textWidth(letter);
      if (room < 0) break;
      start += letter;
    }
    kept = `${start}…`;
  }
  const blanks = " ".repeat(Math.max(0, columns - textWidth(kept)));
  return side === "left" ? kept + blanks : blanks + kept;
}

/** Lines of at most so many columns, broken between words; later ones begin with `indent`. */
export function wrapped(text: string, columns: number, indent: string): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (line.trim() !== "" && textWidth(longer) > columns) {
      lines.push(line);
      line = indent + word;
    } else line = longer;
  }
  return [...lines, line];
}
