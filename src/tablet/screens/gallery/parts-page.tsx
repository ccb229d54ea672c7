export function PartsPage({ scenes }: { scenes: readonly string[] }) {
  return (
    <ul>
      {scenes.map((scene) => (
        <li key={scene}>
          <a href={`?scene=${scene}`}>{scene}</a>
        </li>
      ))}
    </ul>
  );
}
