//! Codes seen by the camera, where the browser can read them.

use crate::ui::leptos::prelude::{set_interval_with_handle, window};
use crate::ui::leptos::task::spawn_local;
use crate::ui::leptos::web_sys;
use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// How often the picture is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(200);

/// A camera that is on, until it is stopped.
#[derive(Clone)]
pub struct Camera {
    stream: web_sys::MediaStream,
    is_on: Rc<Cell<bool>>,
}

impl Camera {
    /// Switches it off.
    pub fn stop(&self) {
        self.is_on.set(false);
        for track in self.stream.get_tracks() {
            if let Ok(track) = track.dyn_into::<web_sys::MediaStreamTrack>() {
                track.stop();
            }
        }
    }
}

/// Whether this browser reads codes.
pub fn can_read() -> bool {
    js_sys::Reflect::has(&window(), &"BarcodeDetector".into()).unwrap_or(false)
}

/// Shows the camera's picture and hands over the text of every code in it.
/// `None` where there is no camera, or none is allowed.
pub async fn start(
    video: web_sys::HtmlVideoElement,
    on_text: impl Fn(String) + 'static,
) -> Option<Camera> {
    let detector = detector()?;
    let devices = window().navigator().media_devices().ok()?;
    let wanted = web_sys::MediaStreamConstraints::new();
    let facing = object("facingMode", &"environment".into());
    wanted.set_video(&facing);
    let asked = devices.get_user_media_with_constraints(&wanted).ok()?;
    let stream: web_sys::MediaStream = JsFuture::from(asked).await.ok()?.unchecked_into();
    video.set_src_object(Some(&stream));
    // Not waited for: the first picture may be a while in coming.
    if let Ok(playing) = video.play() {
        spawn_local(async move { drop(JsFuture::from(playing).await) });
    }
    let camera = Camera { stream, is_on: Rc::new(Cell::new(true)) };
    let (is_on, is_looking) = (Rc::clone(&camera.is_on), Rc::new(Cell::new(false)));
    let on_text = Rc::new(on_text);
    let stop = Rc::new(Cell::new(None::<crate::ui::leptos::prelude::IntervalHandle>));
    let stopping = Rc::clone(&stop);
    let look = move || {
        if !is_on.get() {
            if let Some(handle) = stopping.take() {
                handle.clear();
            }
            return;
        }
        if is_looking.replace(true) {
            return;
        }
        let (detector, video) = (detector.clone(), video.clone());
        let (on_text, is_looking) = (Rc::clone(&on_text), Rc::clone(&is_looking));
        spawn_local(async move {
            for text in seen(&detector, &video).await {
                on_text(text);
            }
            is_looking.set(false);
        });
    };
    stop.set(set_interval_with_handle(look, LOOK_EVERY).ok());
    Some(camera)
}

fn detector() -> Option<JsValue> {
    let class = js_sys::Reflect::get(&window(), &"BarcodeDetector".into()).ok()?;
    let class = class.dyn_into::<js_sys::Function>().ok()?;
    let formats = js_sys::Array::of1(&"qr_code".into());
    let options = object("formats", &formats);
    js_sys::Reflect::construct(&class, &js_sys::Array::of1(&options)).ok()
}

/// The texts of the codes in the picture now.
async fn seen(detector: &JsValue, video: &web_sys::HtmlVideoElement) -> Vec<String> {
    let call = || {
        let detect = js_sys::Reflect::get(detector, &"detect".into()).ok()?;
        let promise = detect.dyn_into::<js_sys::Function>().ok()?.call1(detector, video).ok()?;
        promise.dyn_into::<js_sys::Promise>().ok()
    };
    let Some(promise) = call() else { return Vec::new() };
    let Ok(found) = JsFuture::from(promise).await else { return Vec::new() };
    let text = |code: JsValue| js_sys::Reflect::get(&code, &"rawValue".into()).ok()?.as_string();
    js_sys::Array::from(&found).iter().filter_map(text).collect()
}

fn object(key: &str, value: &JsValue) -> JsValue {
    let object = js_sys::Object::new();
    // An object that was just made takes any key.
    let _ = js_sys::Reflect::set(&object, &key.into(), value);
    object.into()
}
