/** What of the path is fetched when it is first asked for: one chunk. */
import './path.css';

export { PaperPaths } from './paper-paths.tsx';
export { PathPanel } from './path-panel.tsx';
