import type { ProfilePoint } from "../../belt-test/feedback/profile.ts";
import type { Rubric } from "../../belt-test/rubric/rubric.ts";
import sheetsWords from "../../words/en/sheets.json" with { type: "json" };
import { useSay } from "../parts/use-say.ts";
import { nearestLevel } from "./nearest-level.ts";
import css from "./sheet-page.module.css";

/** The profile as words: the level each criterion is nearest to. */
export function ProfileWords({
  profile,
  scale,
}: {
  profile: readonly ProfilePoint[];
  scale: Rubric["scale"];
}) {
  const say = useSay(sheetsWords);
  return (
    <ul className={css.profileWords}>
      {profile.map(({ criterion, title, percent }) => (
        <li key={criterion}>
          {percent === null
            ? say("page-profile-none", { criterion: title })
            : say("page-profile", {
                criterion: title,
                level: scale.levels[nearestLevel(percent, scale) - 1]?.title ?? "",
              })}
        </li>
      ))}
    </ul>
  );
}
