import { chromium } from "playwright-core";
import { pathToFileURL } from "node:url";
const b = await chromium.launch({executablePath:"/usr/bin/chromium",args:["--no-sandbox","--use-angle=swiftshader","--enable-unsafe-swiftshader"]});
for (const scheme of (process.argv[4]??"light").split(",")) {
const p = await b.newPage({viewport:{width:1240,height:900},colorScheme:scheme});
p.on("console",m=>console.log("CONSOLE",m.text())); p.on("pageerror",e=>console.log("ERR",e));
await p.goto(pathToFileURL(process.argv[2]).href);
if (!process.argv[5]) await p.waitForSelector("#viewer[data-ready]");
await p.waitForTimeout(600);
await p.screenshot({path:process.argv[3]+"-"+scheme+".png",fullPage:true});
if (scheme=="light") for (const f of ["A4","Letter"]) await p.pdf({path:process.argv[3]+"-"+f+".pdf",format:f,preferCSSPageSize:true});
}
await b.close();
