import { createRoot } from "react-dom/client";
import "./look/look.css";
import { Gallery } from "./screens/gallery/gallery.tsx";

const root = document.getElementById("root");
if (!root) throw new Error("gallery: no #root on the page");
createRoot(root).render(<Gallery search={new URLSearchParams(location.search)} />);
