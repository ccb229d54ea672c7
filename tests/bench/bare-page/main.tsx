import { Dexie } from "dexie";
import { memo, useCallback, useState } from "react";
import { createRoot } from "react-dom/client";

// The floor: as many targets as the judge's screen has at its largest, one strict commit a tap, and nothing else.
const COLUMNS = 6;
const ROWS = 5;
const ZONES = ["left", "right"];

const database = new Dexie("bare", { chromeTransactionDurability: "strict" });
database.version(1).stores({ marks: "++place" });

const Target = memo(function Target({
  name,
  isOn,
  onTap,
}: {
  name: string;
  isOn: boolean;
  onTap: (name: string) => void;
}) {
  return (
    <button
      type="button"
      data-target={name}
      aria-pressed={isOn}
      style={{ width: 80, height: 90 }}
      onClick={() => onTap(name)}
    >
      {isOn ? "●" : "·"}
    </button>
  );
});

function Bare() {
  const [on, setOn] = useState<ReadonlySet<string>>(new Set());
  const tap = useCallback((name: string) => {
    setOn((before) => new Set([...before, name]));
    void database.table("marks").add({ name, at: Date.now() });
  }, []);
  return (
    <div
      style={{ display: "grid", gridTemplateColumns: `repeat(${COLUMNS * ZONES.length}, 90px)` }}
    >
      {Array.from({ length: ROWS }, (_, row) =>
        Array.from({ length: COLUMNS }, (_, column) =>
          ZONES.map((zone) => {
            const name = `${row} ${column} ${zone}`;
            return <Target key={name} name={name} isOn={on.has(name)} onTap={tap} />;
          }),
        ),
      )}
    </div>
  );
}

createRoot(document.getElementById("bare") as HTMLElement).render(<Bare />);
