import { render } from 'preact';
import './look.css';
import './app.css';
import './shelf.css';
import './intake.css';
import { Shell } from './shell.tsx';

const place = document.getElementById('app');
if (place) render(<Shell />, place);
