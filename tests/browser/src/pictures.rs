//! Pictures: drawn in the page for a test, and those that the app keeps.

use serde_json::json;

use crate::browser::Browser;

impl Browser {
    /// Draws pictures in the page and gives them to the picker: `count` of a size,
    /// noise where they are to be large.
    pub async fn give_pictures(&self, count: usize, side: u32, noise: bool) {
        let script = "(async () => {
        const [count, side, noise] = ARGS;
        const files = new DataTransfer();
        const canvas = document.createElement('canvas');
        canvas.width = side; canvas.height = side * 3 / 4;
        const pen = canvas.getContext('2d');
        for (let n = 0; n < count; n += 1) {
          if (noise) {
            const data = pen.createImageData(canvas.width, canvas.height);
            let seed = n + 1;
            for (let i = 0; i < data.data.length; i += 1) {
              seed = (seed * 1103515245 + 12345) % 2147483648;
              data.data[i] = i % 4 === 3 ? 255 : seed >> 16;
            }
            pen.putImageData(data, 0, 0);
          } else {
            pen.fillStyle = `hsl(${n * 7 % 360} 60% 50%)`;
            pen.fillRect(0, 0, canvas.width, canvas.height);
            pen.fillStyle = 'white';
            pen.font = '120px sans-serif';
            pen.fillText(String(n), 40, 200);
          }
          const blob = await new Promise((done) => canvas.toBlob(done, 'image/jpeg', 0.9));
          files.items.add(new File([blob], `picture-${n}.jpg`, { type: 'image/jpeg' }));
        }
        const input = document.querySelector('[data-file=\"Choose pictures\"]');
        input.files = files.files;
        input.dispatchEvent(new Event('change', { bubbles: true }));
        return count;
      })()";
        let arguments = json!([count, side, noise]).to_string();
        self.js_promise(&script.replace("ARGS", &arguments)).await;
    }

    /// Every picture in the database: its name, and a digest of its bytes.
    pub async fn pictures(&self) -> Vec<(String, String)> {
        let script = "(async () => {
        const database = await new Promise((done, failed) => {
          const asked = indexedDB.open('firstglow-pictures');
          asked.onsuccess = () => done(asked.result);
          asked.onerror = failed;
        });
        const store = () => database.transaction('pictures').objectStore('pictures');
        const got = (asked) => new Promise((done) => { asked.onsuccess = () => done(asked.result); });
        const out = [];
        for (const key of await got(store().getAllKeys())) {
          const blob = await got(store().get(key));
          if (!blob) continue; // dropped meanwhile
          const hash = await crypto.subtle.digest('SHA-256', await blob.arrayBuffer());
          out.push([key, [...new Uint8Array(hash)].map((b) => b.toString(16)).join(' ')]);
        }
        database.close();
        return out;
      })()";
        let found = self.js_promise(script).await;
        serde_json::from_value(found).expect("pairs of name and digest")
    }
}
