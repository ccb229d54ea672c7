import { httpHubDesk } from "./link/http-hub-desk.ts";
import "./look/look.css";
import { FamilyScreen } from "./screens/family/family-screen.tsx";
import { show } from "./show.tsx";

// A page of its own beside the app: a guardian's phone keeps no scorebook, installs nothing and asks for no storage.
const hub = httpHubDesk(location.origin);
// Behind the #, so that no server on the way writes it down.
const token = location.hash.slice(1);
// Another link opened in the same tab is another page.
addEventListener("hashchange", () => location.reload());
void show("family", <FamilyScreen ask={() => hub.sheet(token)} />);
