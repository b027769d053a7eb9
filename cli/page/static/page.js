// What every screen has: the choice of units.

import { listenToChoice } from "./units.js";

listenToChoice();
