import { X509Certificate } from 'node:crypto';
import { request } from 'node:https';
import { connect, type TLSSocket } from 'node:tls';

/**
 * A request to a base of this machine over TLS. Its certificate is made out for the name that tablets use, which is not
 * the one we reach it by, so it is not judged by names and authorities: it must be the very one that the base
 * announced, and nothing is sent before that is known.
 */
export async function pinnedFetch(asked: Request, certificate: string): Promise<Response> {
  const { hostname, port, pathname, search } = new URL(asked.url);
  const socket = await pinnedSocket(hostname, Number(port || 443), certificate);
  const body = Buffer.from(await asked.arrayBuffer());
  return new Promise((resolve, reject) => {
    const sending = request(
      {
        method: asked.method,
        path: pathname + search,
        headers: {
          ...Object.fromEntries(asked.headers),
          host: `${hostname}:${port}`,
          'content-length': body.length,
        },
        createConnection: () => socket,
      },
      (answer) => {
        const parts: Buffer[] = [];
        answer.on('data', (part: Buffer) => parts.push(part));
        answer.on('error', reject);
        answer.on('end', () => {
          const { statusCode = 500 } = answer;
          const isEmpty = statusCode === 204;
          resolve(new Response(isEmpty ? null : Buffer.concat(parts), { status: statusCode }));
          socket.end();
        });
      },
    );
    sending.on('error', reject);
    sending.end(body);
  });
}

/** A connection to the base that shows exactly this certificate. */
export function pinnedSocket(host: string, port: number, certificate: string): Promise<TLSSocket> {
  const wanted = new X509Certificate(certificate).fingerprint256;
  return new Promise((resolve, reject) => {
    const socket = connect({ host, port, rejectUnauthorized: false });
    socket.once('error', reject);
    socket.once('secureConnect', () => {
      if (socket.getPeerX509Certificate()?.fingerprint256 === wanted) resolve(socket);
      else {
        socket.destroy();
        reject(new Error('it shows another certificate than the base does'));
      }
    });
  });
}
