export const kinds = ["ipad", "android", "laptop"] as const;
export type Kind = (typeof kinds)[number];

/** What sort of device this is, for its steps; an iPad calls itself a Macintosh, but has a touch screen. */
export function kindOf({
  userAgent,
  maxTouchPoints,
}: Pick<Navigator, "userAgent" | "maxTouchPoints">): Kind {
  if (/android/i.test(userAgent)) return "android";
  const isPad = /ip(ad|hone|od)/i.test(userAgent);
  return isPad || (/macintosh/i.test(userAgent) && maxTouchPoints > 1) ? "ipad" : "laptop";
}
