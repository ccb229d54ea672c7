import { createRoot } from "react-dom/client";
import { httpHubDesk } from "./link/http-hub-desk.ts";
import "./look/look.css";
import { FamilyScreen } from "./screens/family/family-screen.tsx";

// A page of its own beside the app: a guardian's phone keeps no scorebook, installs nothing and asks for no storage.
const root = document.getElementById("family");
if (!root) throw new Error("family: no #family in the page");
const hub = httpHubDesk(location.origin);
// Behind the #, so that no server on the way writes it down.
const token = location.hash.slice(1);
// Another link opened in the same tab is another page.
addEventListener("hashchange", () => location.reload());
createRoot(root).render(<FamilyScreen ask={() => hub.sheet(token)} />);
