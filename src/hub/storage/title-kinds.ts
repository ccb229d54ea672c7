import { titleKinds } from "../../core/scorebook/title-page.ts";

/** SQL that is true of a line which may say what a test is called: as its canonical text has the kind. The same letters may stand deeper, so what is found is looked at. */
export const saysTitle = (position: "instr" | "strpos"): string =>
  titleKinds.map((kind) => `${position}(body, '"kind":"${kind}"') > 0`).join(" OR ");
