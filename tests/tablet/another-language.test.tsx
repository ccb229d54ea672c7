import { render, screen } from "@testing-library/react";
import { expect, it } from "vitest";
import { languageFor } from "../../src/tablet/language.ts";
import { LanguageContext, useSay } from "../../src/tablet/parts/use-say.ts";
import { longDay } from "../../src/words/dates.ts";
import troublesWords from "../../src/words/en/troubles.json" with { type: "json" };
import { ENGLISH } from "../../src/words/say.ts";

/** A language that is two files in a folder, one of them with a single message. */
const catalogues = {
  "../words/nl/troubles.json": async () => ({
    area: "troubles",
    "refused-lines": "{count, plural, one {# regel} other {# regels}} niet aangenomen.",
  }),
  "../words/nl/start.json": async () => ({ area: "start" }),
};

function Told() {
  const say = useSay(troublesWords);
  return (
    <p>
      {say("refused-lines", { count: 2 })} {longDay("2026-06-06", say.locale)}{" "}
      {say("trouble-whole")}
    </p>
  );
}

it("[Y200] a language is its catalogues: the page that prefers it says its words, writes its dates, and says the rest in English", async () => {
  const language = await languageFor(["fr-BE", "nl-BE", "en-GB"], catalogues);
  render(
    <LanguageContext value={language}>
      <Told />
    </LanguageContext>,
  );
  expect(screen.getByText("2 regels niet aangenomen. 6 juni 2026 Read it all")).toBeTruthy();
});

it("says English where the catalogues cannot be fetched", async () => {
  const away = { "../words/nl/board.json": () => Promise.reject(new Error("no hub")) };
  expect(await languageFor(["nl"], away)).toBe(ENGLISH);
});

it.each([[["en-US", "nl"]], [["fr"]], [[]]])(
  "says English to whoever prefers %j",
  async (wanted) => {
    expect(await languageFor(wanted, catalogues)).toBe(ENGLISH);
  },
);
