/** What of the checks is fetched when the desk stands: one chunk. */
import './checks.css';

export { checksOf } from './checks-desk.ts';
export { ChecksPanel } from './checks-panel.tsx';
export { Curves } from './curves.tsx';
export { ChecksLine, PaperChecks } from './paper-checks.tsx';
