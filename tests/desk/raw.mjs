// Requests that no browser would send: bytes on a socket.
import net from 'node:net';

/** Sends `text` as it is; gives what came back as {status, head, body}, status 0 where the connection was closed without a word. */
export function send(port, text, {host = '127.0.0.1', patience = 10_000} = {}) {
  return new Promise(resolve => {
    let back = Buffer.alloc(0);
    const socket = net.connect(port, host, () => socket.write(text));
    const end = () => {
      socket.destroy();
      const [head, ...rest] = back.toString('latin1').split('\r\n\r\n');
      resolve({status: Number(/^HTTP\/1\.[01] (\d+)/.exec(head)?.[1] ?? 0), head, body: rest.join('\r\n\r\n')});
    };
    socket.setTimeout(patience, end);
    socket.on('data', data => {
      back = Buffer.concat([back, data]);
      const text = back.toString('latin1'), at = text.indexOf('\r\n\r\n');
      const length = /^content-length: (\d+)/im.exec(text.slice(0, Math.max(at, 0)));
      if (at >= 0 && length && text.length >= at + 4 + Number(length[1])) end();
    });
    socket.on('end', end);
    socket.on('error', end);
  });
}

/** A request with these headers and no others but what is needed to end it. */
export function request(desk, line, headers, body = '') {
  const lines = [line + ' HTTP/1.1', ...headers, ...(body ? [`Content-Length: ${Buffer.byteLength(body)}`] : []), 'Connection: close'];
  return send(desk.port, lines.join('\r\n') + '\r\n\r\n' + body);
}
