import css from "./fingerprint.module.css";

const PAIRS = 4;

/** A certificate's fingerprint in groups of four pairs, so that two people can read it to each other. */
export function Fingerprint({ of }: { of: string }) {
  const pairs = of.split(":");
  const groups = Array.from({ length: Math.ceil(pairs.length / PAIRS) }, (_, at) =>
    pairs.slice(at * PAIRS, (at + 1) * PAIRS).join(" "),
  );
  return (
    <p className={css.root}>
      {groups.map((group, at) => (
        // Two groups of one fingerprint may be the same.
        // biome-ignore lint/suspicious/noArrayIndexKey: a fingerprint never changes its order
        <span key={at}>{group}</span>
      ))}
    </p>
  );
}
