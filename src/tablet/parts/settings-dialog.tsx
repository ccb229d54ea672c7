import { useState } from "react";
import settingsWords from "../../words/en/settings.json" with { type: "json" };
import { keepSettings, readSettings, type Settings } from "../look/settings.ts";
import { ChoiceRow } from "./choice-row.tsx";
import { Dialog } from "./dialog.tsx";
import { ThisDevice } from "./this-device.tsx";
import { useSay } from "./use-say.ts";

const choices: { [Setting in keyof Settings]: readonly Settings[Setting][] } = {
  theme: ["auto", "day", "dark"],
  text: ["usual", "large"],
  hand: ["right", "left"],
  targets: ["usual", "large"],
};

/** How this device shows things. Every choice is kept and seen at once. */
export function SettingsDialog({
  onClose,
  onChange,
}: {
  onClose: () => void;
  onChange?: (settings: Settings) => void;
}) {
  const say = useSay(settingsWords);
  const [settings, setSettings] = useState(readSettings);
  const choose = (part: Partial<Settings>) => {
    const next = { ...settings, ...part };
    setSettings(next);
    keepSettings(next);
    onChange?.(next);
  };
  return (
    <Dialog open title={say("title")} closeWord={say("done")} onClose={onClose}>
      {(Object.keys(choices) as (keyof Settings)[]).map((setting) => (
        <ChoiceRow
          key={setting}
          legend={say(setting)}
          name={setting}
          choices={choices[setting]}
          chosen={settings[setting]}
          wordFor={(choice) => say(`${setting}-${choice}` as Parameters<typeof say>[0])}
          onChoose={(choice) => choose({ [setting]: choice })}
        />
      ))}
      <ThisDevice />
    </Dialog>
  );
}
