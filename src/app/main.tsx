import { render } from 'preact';
import './look.css';

render(<p>Fairpeg</p>, document.body);
