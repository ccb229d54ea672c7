import { type ComponentType, lazy, Suspense } from "react";
import { BrowserRouter, Route, Routes } from "react-router";
import { type PageName, testPages } from "./parts/test-pages.ts";
import { Lost } from "./screens/frame/lost.tsx";
import { LostBoundary } from "./screens/frame/lost-boundary.tsx";
import { Only } from "./screens/frame/only.tsx";
import { Opening } from "./screens/frame/opening.tsx";
import { SessionFrame } from "./screens/frame/session-frame.tsx";
import { JudgeScreen } from "./screens/judge/judge-screen.tsx";

// Only the judge's screen comes with the app: a tablet on a forearm must show its board at once, also with the hub gone.
// Lazy too: a judge who joined by the code never needs the first page, and its words are many.
const HomeScreen = lazy(async () => ({
  default: (await import("./screens/home/home-screen.tsx")).HomeScreen,
}));
const RoleHome = lazy(async () => ({
  default: (await import("./screens/frame/role-home.tsx")).RoleHome,
}));
const JoinScreen = lazy(async () => ({
  default: (await import("./screens/join/join-screen.tsx")).JoinScreen,
}));
const CallerScreen = lazy(async () => ({
  default: (await import("./screens/caller/caller-screen.tsx")).CallerScreen,
}));
const DeskScreen = lazy(async () => ({
  default: (await import("./screens/desk/desk-screen.tsx")).DeskScreen,
}));
const SetUpScreen = lazy(async () => ({
  default: (await import("./screens/set-up/set-up-screen.tsx")).SetUpScreen,
}));
const BoardScreen = lazy(async () => ({
  default: (await import("./screens/board/board-screen.tsx")).BoardScreen,
}));
const DoorScreen = lazy(async () => ({
  default: (await import("./screens/door/door-screen.tsx")).DoorScreen,
}));
const PanelScreen = lazy(async () => ({
  default: (await import("./screens/panel/panel-screen.tsx")).PanelScreen,
}));
const ItemsScreen = lazy(async () => ({
  default: (await import("./screens/items/items-screen.tsx")).ItemsScreen,
}));
const AnchorsScreen = lazy(async () => ({
  default: (await import("./screens/anchors/anchors-screen.tsx")).AnchorsScreen,
}));
const KeptScreen = lazy(async () => ({
  default: (await import("./screens/kept/kept-screen.tsx")).KeptScreen,
}));
const OwnScreen = lazy(async () => ({
  default: (await import("./screens/own/own-screen.tsx")).OwnScreen,
}));
const CandidateScreen = lazy(async () => ({
  default: (await import("./screens/candidate/candidate-screen.tsx")).CandidateScreen,
}));
const SheetsScreen = lazy(async () => ({
  default: (await import("./screens/sheets/sheets-screen.tsx")).SheetsScreen,
}));

const screens: Record<PageName, ComponentType> = {
  judge: JudgeScreen,
  own: OwnScreen,
  caller: CallerScreen,
  desk: DeskScreen,
  "set-up": SetUpScreen,
  board: BoardScreen,
  door: DoorScreen,
  panel: PanelScreen,
  items: ItemsScreen,
  anchors: AnchorsScreen,
  kept: KeptScreen,
  candidate: CandidateScreen,
  sheets: SheetsScreen,
};

/** Inside a test's frame. */
export const pageRoutes = [
  <Route key="index" index element={<RoleHome />} />,
  ...Object.entries(screens).map(([name, Screen]) => {
    const { path, of } = testPages[name as PageName];
    return (
      <Route
        key={path}
        path={path}
        element={
          <Only roles={of}>
            <Screen />
          </Only>
        }
      />
    );
  }),
];

/** Every address of the app. Each screen but the judge's comes with its own script, when it is opened. */
export function Router() {
  return (
    <BrowserRouter>
      <LostBoundary>
        <Suspense fallback={<Opening />}>
          <Routes>
            <Route path="/" element={<HomeScreen />} />
            <Route path="/join" element={<JoinScreen />} />
            <Route path="/tests/:grading" element={<SessionFrame />}>
              {pageRoutes}
            </Route>
            <Route path="*" element={<Lost />} />
          </Routes>
        </Suspense>
      </LostBoundary>
    </BrowserRouter>
  );
}
