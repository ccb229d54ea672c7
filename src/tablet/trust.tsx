import { httpHubDesk } from "./link/http-hub-desk.ts";
import "./look/look.css";
import { applySettings, readSettings } from "./look/settings.ts";
import { heldHere } from "./screens/trust/held-here.ts";
import { kindOf } from "./screens/trust/kind-of.ts";
import { TrustScreen } from "./screens/trust/trust-screen.tsx";
import { show } from "./show.tsx";
import { openDexieScorebook } from "./storage/dexie-scorebook.ts";

// A page of its own: the app belongs under the address that lasts, so it is not loaded under this one first.
applySettings(readSettings());
const store = openDexieScorebook("evenhand");

const ask = httpHubDesk(location.origin).trust;
const held = () => heldHere(store);
// The answer cannot be read from here, and need not be: there is one only where the browser takes the certificate.
const isTrusted = (origin: string) =>
  fetch(`${origin}/trust/seen`, { mode: "no-cors", cache: "no-store" }).then(
    () => true,
    () => false,
  );
const leadTo = (address: string) => location.replace(address);
const join = `/join${location.hash}`;

// The machine that the hub runs on is trusted as it is.
if (window.isSecureContext) leadTo(join);
else
  void show(
    "trust",
    <TrustScreen
      kind={kindOf(navigator)}
      host={location.hostname}
      code={location.hash}
      ask={ask}
      held={held}
      isTrusted={isTrusted}
      leadTo={leadTo}
    />,
  );
