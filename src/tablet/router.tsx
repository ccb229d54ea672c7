import { createBrowserRouter } from "react-router";
import { Lost } from "./screens/frame/lost.tsx";
import { Opening } from "./screens/frame/opening.tsx";
import { RoleHome } from "./screens/frame/role-home.tsx";
import { SessionFrame } from "./screens/frame/session-frame.tsx";
import { HomeScreen } from "./screens/home/home-screen.tsx";

/** Every address of the app. The judge's screen comes with the first load; what others need comes when they need it. */
export const router = createBrowserRouter([
  { path: "/", Component: HomeScreen, ErrorBoundary: Lost, HydrateFallback: Opening },
  {
    path: "/join",
    lazy: async () => ({ Component: (await import("./screens/join/join-screen.tsx")).JoinScreen }),
    ErrorBoundary: Lost,
    HydrateFallback: Opening,
  },
  {
    path: "/tests/:grading",
    Component: SessionFrame,
    ErrorBoundary: Lost,
    HydrateFallback: Opening,
    children: [
      { index: true, Component: RoleHome },
      {
        path: "judge",
        lazy: async () => ({
          Component: (await import("./screens/judge/judge-screen.tsx")).JudgeScreen,
        }),
      },
      {
        path: "caller",
        lazy: async () => ({
          Component: (await import("./screens/caller/caller-screen.tsx")).CallerScreen,
        }),
      },
      {
        path: "desk",
        lazy: async () => ({
          Component: (await import("./screens/desk/desk-screen.tsx")).DeskScreen,
        }),
      },
      {
        path: "set-up",
        lazy: async () => ({
          Component: (await import("./screens/set-up/set-up-screen.tsx")).SetUpScreen,
        }),
      },
      {
        path: "chief",
        lazy: async () => ({
          Component: (await import("./screens/chief/board-screen.tsx")).BoardScreen,
        }),
      },
      {
        path: "chief/door",
        lazy: async () => ({
          Component: (await import("./screens/chief/door-screen.tsx")).DoorScreen,
        }),
      },
      {
        path: "chief/candidates/:candidate",
        lazy: async () => ({
          Component: (await import("./screens/chief/candidate-screen.tsx")).CandidateScreen,
        }),
      },
      {
        path: "sheets",
        lazy: async () => ({
          Component: (await import("./screens/sheets/sheets-screen.tsx")).SheetsScreen,
        }),
      },
    ],
  },
  { path: "*", Component: Lost },
]);
