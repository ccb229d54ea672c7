/** Hands the person a file to keep. The name says what it is; nothing leaves the device. */
export const saveFile = (name: string, text: string, type = "application/json"): void =>
  saveBlob(name, new Blob([text], { type }));

export function saveBlob(name: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // Some browsers begin to read only after the click has returned.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** A title as part of a file's name: letters, digits and hyphens. */
export function fileWord(title: string): string {
  const plain = title.normalize("NFKD").replace(/\p{M}/gu, "");
  return (
    plain
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, "-")
      .replace(/^-+|-+$/g, "")
      .slice(0, 48) || "belt-test"
  );
}
