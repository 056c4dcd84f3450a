/**
 * Which internet addresses lie outside our own machine and network: what the service posts to must. Pure.
 * Source: the IANA special-purpose address registries for IPv4 and IPv6 (RFC 6890, RFC 8190, RFC 9637).
 */
import { BlockList, isIP } from "node:net";

const special4 = [
  "0.0.0.0/8",
  "10.0.0.0/8",
  "100.64.0.0/10",
  "127.0.0.0/8",
  "169.254.0.0/16",
  "172.16.0.0/12",
  "192.0.0.0/24",
  "192.0.2.0/24",
  "192.88.99.0/24",
  "192.168.0.0/16",
  "198.18.0.0/15",
  "198.51.100.0/24",
  "203.0.113.0/24",
  // Multicast (RFC 5771), and what is reserved up to the broadcast address.
  "224.0.0.0/4",
  "240.0.0.0/4",
];
/** Within 2000::/3, beside which no IPv6 address is anybody's on the open internet (RFC 4291). */
const special6 = ["2001::/23", "2001:db8::/32", "2002::/16", "3fff::/20"];

function listOf(blocks: readonly string[], family: "ipv4" | "ipv6"): BlockList {
  const list = new BlockList();
  for (const block of blocks) {
    const [net = "", bits = ""] = block.split("/");
    list.addSubnet(net, Number(bits), family);
  }
  return list;
}
const inside4 = listOf(special4, "ipv4");
const inside6 = listOf(special6, "ipv6");
const global6 = listOf(["2000::/3"], "ipv6");

/** Whether an IP address belongs to the open internet. Anything that is no plain address does not. */
export function isOutside(address: string): boolean {
  if (address.includes("%")) return false;
  const family = isIP(address);
  if (family === 4) return !inside4.check(address, "ipv4");
  return family === 6 && global6.check(address, "ipv6") && !inside6.check(address, "ipv6");
}

/** Whether a URL names, by itself and before any look-up, a place inside: an address of ours, or this machine. */
export function namesInside(url: URL): boolean {
  const host = url.hostname.replace(/^\[|\]$/g, "");
  if (isIP(host) !== 0) return !isOutside(host);
  return /(^|\.)localhost\.?$/.test(host);
}
