export * from "three/addons/lines/Line2.js";
