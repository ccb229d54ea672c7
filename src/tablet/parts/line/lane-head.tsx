import { memo } from "react";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { Belt, type BeltColours } from "../belt.tsx";
import { useSay } from "../use-say.ts";
import css from "./lane-head.module.css";

/** Children with long names are not cut short before they must be. */
const nameFit = (given: string): "short" | "long" | "longest" =>
  given.length <= 6 ? "short" : given.length <= 9 ? "long" : "longest";

interface LaneHeadProps {
  number: number;
  given: string;
  sounds: string | undefined;
  belt: BeltColours;
  /** Said where the belt stands otherwise, so that nothing moves when the desk checks the child in. */
  expected: boolean | undefined;
  /** Where there is little room. */
  short?: boolean;
}

/** Who stands in a lane: number, name, belt. */
export const LaneHead = memo(function LaneHead(props: LaneHeadProps) {
  const { number, given, sounds, belt, expected, short = false } = props;
  const say = useSay(judgeWords);
  return (
    <span className={css.root} data-fit={nameFit(given)}>
      <span className={css.number}>{number}</span>{" "}
      <span className={css.name}>
        <span className={css.given}>{given}</span>
        {sounds !== undefined && <span className={css.sounds}>{sounds}</span>}
      </span>{" "}
      {expected ? (
        <span className={css.expected}>{say("notCheckedIn")}</span>
      ) : (
        <Belt belt={belt} short={short} />
      )}
    </span>
  );
});
