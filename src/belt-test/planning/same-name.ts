/**
 * Whose name of an earlier list is whose of today's, where case, spaces and accents may have been written otherwise.
 *
 * @param earlier names as an earlier test wrote them. @param here today's; in any order.
 * @returns for each of `earlier` its place in `here`, or null: nobody of that name, or several on either side. Between two nobody guesses.
 *
 * A suggestion, not a proof: two people may bear one name, so somebody who knows them confirms it. Letters that are no accented ones stay apart (Ł and L).
 * Source: Unicode Standard Annex 15 (forms NFKC and NFD); what is folded is ours.
 *
 * @example
 * sameNames(["INES  Núñez", "Mara"], ["Mara", "Ines Nunez"]); // => [1, 0]
 * sameNames(["Kim"], ["kim", "KIM"]); // => [null]
 */
export function sameNames(earlier: readonly string[], here: readonly string[]): (number | null)[] {
  const was = earlier.map(folded);
  const is = here.map(folded);
  return was.map((name) => {
    const isAlone = was.indexOf(name) === was.lastIndexOf(name);
    const at = is.indexOf(name);
    return name !== "" && isAlone && at >= 0 && at === is.lastIndexOf(name) ? at : null;
  });
}

/** Only the accents of Latin and its like go: other scripts' marks make other letters. */
const folded = (name: string): string =>
  name
    .normalize("NFKC")
    .toLowerCase()
    .normalize("NFD")
    .replace(/[\u0300-\u036f\s]/g, "")
    .normalize("NFC");
