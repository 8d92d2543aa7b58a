export * from "three/addons/lines/LineGeometry.js";
