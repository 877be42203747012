import { BlockList, isIP } from 'node:net';
import { isLoopbackAddress } from './addresses.ts';

/**
 * Load balancers that stand before this base. What comes from one of them comes from whom it names in
 * `X-Forwarded-For`; anybody else may write there what they like.
 */
export class Proxies {
  readonly #list = new BlockList();

  /** @param trusted addresses, or ranges such as `10.0.0.0/8`. @throws Error for what is neither */
  constructor(trusted: readonly string[]) {
    for (const each of trusted) this.#add(each);
  }

  #add(text: string): void {
    const [address = '', bits] = text.split('/');
    const version = isIP(address);
    const most = version === 6 ? 128 : 32;
    const prefix = bits === undefined ? most : /^\d{1,3}$/.test(bits) ? Number(bits) : most + 1;
    if (version === 0 || prefix > most) {
      throw new Error(`${text} is neither an address nor a range such as 10.0.0.0/8`);
    }
    this.#list.addSubnet(address, prefix, version === 6 ? 'ipv6' : 'ipv4');
  }

  /** Whether an address is one of them. */
  has(address: string): boolean {
    const plain = plainAddress(address);
    return isIP(plain) !== 0 && this.#list.check(plain, isIP(plain) === 6 ? 'ipv6' : 'ipv4');
  }

  /**
   * Who is at the other end of a request.
   *
   * @param address where it came from
   * @param forwardedFor what it says of the way before that: each proxy adds from whom it got it
   */
  clientOf(address: string, forwardedFor: string | undefined): string {
    let client = plainAddress(address);
    const way = (forwardedFor ?? '').split(',').map((each) => plainAddress(each.trim()));
    while (this.has(client)) {
      const before = way.pop();
      if (before === undefined || isIP(before) === 0) return client;
      client = before;
    }
    // Nobody becomes this machine itself, which is not limited, by saying so.
    return isLoopbackAddress(client) && !isLoopbackAddress(address) ? plainAddress(address) : client;
  }
}

/** An address of IPv4 is told as one of IPv6 where the base listens on both. */
function plainAddress(address: string): string {
  return address.startsWith('::ffff:') && isIP(address.slice(7)) === 4 ? address.slice(7) : address;
}
