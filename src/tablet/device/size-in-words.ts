/** "3.2 GB", "18 MB": as a device's own settings say it. */
export function sizeInWords(bytes: number, locale: string): string {
  const isGiga = bytes >= 1e9;
  return new Intl.NumberFormat(locale, {
    style: "unit",
    unit: isGiga ? "gigabyte" : "megabyte",
    maximumFractionDigits: isGiga && bytes < 1e10 ? 1 : 0,
  }).format(Math.max(0, bytes) / (isGiga ? 1e9 : 1e6));
}
