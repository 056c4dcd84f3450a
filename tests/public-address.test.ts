/**
 * What lies outside our own network. The verdicts beside the addresses are those of Python 3.11's `ipaddress`
 * (is_global and not is_multicast), which follows the IANA special-purpose registries by itself.
 */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isOutside, namesInside } from "../src/public-address.js";

const inside = [
  ["0.0.0.0", "10.0.0.0", "10.255.255.255", "100.64.0.0", "100.127.255.255", "127.0.0.1"],
  ["127.255.255.255", "169.254.0.0", "169.254.169.254", "172.16.0.0", "172.31.255.255"],
  ["192.0.2.255", "192.168.0.0", "192.168.255.255", "198.18.0.0", "198.19.255.255"],
  ["198.51.100.0", "203.0.113.255", "224.0.0.0", "239.255.255.255", "240.0.0.0"],
  ["255.255.255.255", "::", "::1", "::ffff:127.0.0.1", "::ffff:10.0.0.1", "64:ff9b:1::1"],
  ["100::", "2001::", "2001:db8::", "2001:db8:ffff::1", "fc00::", "fdff::1", "fe80::1"],
  ["febf::1", "ff02::1"],
].flat();
const outside = [
  ["1.0.0.0", "9.255.255.255", "11.0.0.0", "100.63.255.255", "100.128.0.0", "126.255.255.255"],
  ["128.0.0.0", "169.253.255.255", "169.255.0.0", "172.15.255.255", "172.32.0.0"],
  ["192.167.255.255", "192.169.0.0", "198.17.255.255", "198.20.0.0", "203.0.114.0"],
  ["223.255.255.255", "2000::1", "2001:200::1", "2001:db7::1", "2001:db9::", "2a00::1"],
].flat();

describe("an address", () => {
  it.each(inside)("%s is inside", (address) => expect(isOutside(address)).toBe(false));
  it.each(outside)("%s is outside", (address) => expect(isOutside(address)).toBe(true));
  it("that is none is inside", () => {
    for (const text of ["", "localhost", "1.2.3", "fe80::1%eth0", "2a00::1%eth0", "01.2.3.4"])
      expect(isOutside(text)).toBe(false);
  });
  it("of 127.0.0.0/8, 10.0.0.0/8 and 192.168.0.0/16 is inside, whichever it is, in IPv6's clothes too", () => {
    const byte = fc.integer({ min: 0, max: 255 });
    fc.assert(
      fc.property(fc.constantFrom("127", "10", "192.168"), byte, byte, byte, (net, a, b, c) => {
        const address = [...net.split("."), a, b, c].slice(0, 4).join(".");
        expect(isOutside(address)).toBe(false);
        expect(isOutside(`::ffff:${address}`)).toBe(false);
      }),
    );
  });
});

describe("a URL", () => {
  // The URL standard reads these spellings as 127.0.0.1 (WHATWG URL, IPv4 parser).
  it.each([
    "http://127.0.0.1/",
    "http://2130706433/",
    "http://0x7f.1/",
    "http://0177.0.0.1:8080/",
    "http://[::1]/",
    "http://[::ffff:7f00:1]/",
    "https://localhost/",
    "https://LOCALHOST./",
    "https://a.localhost/",
    "http://169.254.169.254/latest/",
  ])("%s names a place inside", (url) => expect(namesInside(new URL(url))).toBe(true));
  it.each([
    "https://provider.example/",
    "https://8.8.8.8/",
    "https://[2a00::1]/",
    "https://localhost.example/",
  ])("%s does not", (url) => expect(namesInside(new URL(url))).toBe(false));
});
