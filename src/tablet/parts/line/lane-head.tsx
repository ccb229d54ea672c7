import { memo } from "react";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { Belt, type BeltColours } from "../belt.tsx";
import { useSay } from "../use-say.ts";
import "./lane-head.css";

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
    <span className="head" data-fit={nameFit(given)}>
      <span className="head-number">{number}</span>{" "}
      <span className="head-name">
        <span className="head-given">{given}</span>
        {sounds !== undefined && <span className="head-sounds">{sounds}</span>}
      </span>{" "}
      {expected ? (
        <span className="head-expected">{say("notCheckedIn")}</span>
      ) : (
        <Belt belt={belt} short={short} />
      )}
    </span>
  );
});
