// The stand: record a wheel.
import { start } from './floor-page.js';
import { stand } from './stand-screen.js';
import './stand-events.js';

start(stand);
