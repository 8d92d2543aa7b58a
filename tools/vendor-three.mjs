/**
 * Copies the 3D library `three` from node_modules into the folder that the program serves.
 *
 *   node tools/vendor-three.mjs           writes the vendored files
 *   node tools/vendor-three.mjs --check   fails when they differ from what this script would write
 *
 * The pages load modules without a bundler and without an import map (a strict content policy forbids the inline
 * script that an import map needs), so each bare `three` import becomes a relative path here.
 */
import { createHash } from "node:crypto";
import { mkdir, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { dirname, join, posix } from "node:path";
import { fileURLToPath } from "node:url";
import { transform } from "esbuild";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const source = join(root, "node_modules/three");
const target = join(root, "crates/app/web/static/vendor/three");

/** Vendored path → path in the package. Line2 and its four parts draw lines wider than one pixel. */
const FILES = new Map([
  ["three.core.js", "build/three.core.js"],
  ["three.module.js", "build/three.module.js"],
  ["controls/OrbitControls.js", "examples/jsm/controls/OrbitControls.js"],
  ["lines/Line2.js", "examples/jsm/lines/Line2.js"],
  ["lines/LineGeometry.js", "examples/jsm/lines/LineGeometry.js"],
  ["lines/LineMaterial.js", "examples/jsm/lines/LineMaterial.js"],
  ["lines/LineSegments2.js", "examples/jsm/lines/LineSegments2.js"],
  ["lines/LineSegmentsGeometry.js", "examples/jsm/lines/LineSegmentsGeometry.js"],
]);

/**
 * Module whose types in `@types/three` describe a file of the package.
 * @param {string} from path in the package
 */
const typedAs = (from) => (from.startsWith("build/") ? "three" : from.replace("examples/jsm/", "three/addons/"));

/** Every import or re-export of another module; bundles have none inside strings. */
const IMPORT_FROM = /\bfrom\s*(["'])([^"']+)\1/g;

/**
 * Makes bare imports relative and refuses an import of a file that is not vendored.
 * @param {string} path vendored path of the importing file
 * @param {string} code
 */
function withRelativeImports(path, code) {
  return code.replace(IMPORT_FROM, (_, quote, specifier) => {
    const folder = posix.dirname(path);
    const wanted = specifier === "three" ? "three.module.js" : posix.join(folder, specifier);
    if (!FILES.has(wanted)) throw new Error(`${path} imports ${specifier}, which is not vendored: add it to FILES`);
    const relative = posix.relative(folder, wanted);
    return `from${quote}${relative.startsWith(".") ? relative : `./${relative}`}${quote}`;
  });
}

/** @returns {Promise<Map<string, string>>} vendored path → text, VERSION last */
async function vendored() {
  const { version } = JSON.parse(await readFile(join(source, "package.json"), "utf8"));
  const files = new Map([["LICENSE", await readFile(join(source, "LICENSE"), "utf8")]]);
  for (const [path, from] of FILES) {
    const { code } = await transform(await readFile(join(source, from), "utf8"), {
      minify: true,
      format: "esm",
      target: "es2022",
      legalComments: "inline",
    });
    files.set(path, withRelativeImports(path, code));
    // beside the script because that is where tsc looks first; it holds nothing that a page would ask for
    files.set(path.replace(/\.js$/, ".d.ts"), `export * from "${typedAs(from)}";\n`);
  }
  const hashes = [...files].map(([path, text]) => `${createHash("sha256").update(text).digest("hex")}  ${path}`);
  files.set("VERSION", [`three ${version}`, "written by tools/vendor-three.mjs; SHA-256 of each file:", ...hashes, ""].join("\n"));
  return files;
}

/** @param {string} folder */
async function filesUnder(folder) {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true }).catch(() => []);
  return entries.filter((entry) => entry.isFile()).map((entry) => posix.relative(folder, join(entry.parentPath, entry.name)));
}

/** @param {Map<string, string>} files */
async function differences(files) {
  const found = [];
  for (const [path, text] of files) {
    const present = await readFile(join(target, path), "utf8").catch(() => undefined);
    if (present !== text) found.push(`${path} ${present === undefined ? "is missing" : "differs"}`);
  }
  for (const path of await filesUnder(target)) {
    if (!files.has(path)) found.push(`${path} is not written by this script`);
  }
  return found;
}

const files = await vendored();
if (process.argv.includes("--check")) {
  const found = await differences(files);
  if (found.length > 0) {
    console.error(`crates/app/web/static/vendor/three: ${found.join("; ")}; run: npm run vendor`);
    process.exitCode = 1;
  } else {
    console.log(`${files.size} vendored files are as this script writes them`);
  }
} else {
  await rm(target, { recursive: true, force: true });
  for (const [path, text] of files) {
    await mkdir(dirname(join(target, path)), { recursive: true });
    await writeFile(join(target, path), text);
  }
  console.log(`wrote ${files.size} files, ${Math.round([...files.values()].join("").length / 1024)} KiB`);
}
