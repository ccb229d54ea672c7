import "./look/look.css";
import { Gallery } from "./screens/gallery/gallery.tsx";
import { show } from "./show.tsx";

void show("root", <Gallery search={new URLSearchParams(location.search)} />);
