//! The microphone of this machine, by way of cpal: WASAPI on Windows, Core Audio on macOS, ALSA
//! on Linux. It holds no decision: what is heard and when is the screen's.

use std::collections::VecDeque;
use std::rc::Rc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use cpal::traits::{DeviceTrait as _, HostTrait as _, StreamTrait as _};
use cpal::{Device, Error, ErrorKind, FromSample, Sample, SampleFormat, SizedSample};
use cpal::{Stream, StreamConfig};
use tracing::warn;

use super::{Microphone, NoSound, Playing, RATE, Rate, Recording, mean};

/// How long a device may take to begin.
const PATIENCE: Duration = Duration::from_secs(5);

/// The microphone of this machine; `None` where it has none.
pub fn of_this_machine() -> Option<Rc<dyn Microphone>> {
    let device = cpal::default_host().default_input_device()?;
    // ALSA names a device whether or not a microphone hangs on it.
    device.default_input_config().ok()?;
    Some(Rc::new(ByCpal))
}

/// Works a device in the format that it speaks; what no usual device speaks is refused.
macro_rules! spoken_in {
    ($format:expr, $deed:ident ( $($given:expr),* )) => {
        if $format == SampleFormat::F32 {
            $deed::<f32>($($given),*)
        } else if $format == SampleFormat::I16 {
            $deed::<i16>($($given),*)
        } else if $format == SampleFormat::I24 {
            $deed::<cpal::I24>($($given),*)
        } else if $format == SampleFormat::I32 {
            $deed::<i32>($($given),*)
        } else if $format == SampleFormat::U8 {
            $deed::<u8>($($given),*)
        } else if $format == SampleFormat::U16 {
            $deed::<u16>($($given),*)
        } else {
            Err(ErrorKind::UnsupportedConfig.into())
        }
    };
}

struct ByCpal;

impl Microphone for ByCpal {
    fn record(&self, most: usize) -> Result<Box<dyn Recording>, NoSound> {
        let device = cpal::default_host().default_input_device();
        let device = device.ok_or(NoSound::NotThere)?;
        let how = device.default_input_config().map_err(why)?;
        let shared = Arc::new(Shared::default());
        let (config, format) = (how.config(), how.sample_format());
        let stream: Result<Stream, Error> =
            spoken_in!(format, hear(&device, config, most, &shared));
        let stream = stream.map_err(why)?;
        stream.play().map_err(why)?;
        Ok(Box::new(Hearing {
            _stream: stream,
            shared,
        }))
    }

    fn play(&self, note: &[i16]) -> Result<Box<dyn Playing>, NoSound> {
        let device = cpal::default_host().default_output_device();
        let device = device.ok_or(NoSound::NotThere)?;
        let how = device.default_output_config().map_err(why)?;
        let shared = Arc::new(Shared::default());
        let (config, format) = (how.config(), how.sample_format());
        let from = Note::of(note, &config);
        let stream: Result<Stream, Error> = spoken_in!(format, say(&device, config, from, &shared));
        let stream = stream.map_err(why)?;
        stream.play().map_err(why)?;
        Ok(Box::new(Saying {
            _stream: stream,
            shared,
        }))
    }
}

/// What a device's own thread and the screen's share.
#[derive(Debug, Default)]
struct Shared {
    heard: Mutex<Vec<i16>>,
    over: AtomicBool,
}

impl Shared {
    /// What the device says went wrong. A gap, or another device in its place, is no end.
    fn said(&self, error: &Error) {
        let goes_on = [
            ErrorKind::DeviceChanged,
            ErrorKind::Xrun,
            ErrorKind::RealtimeDenied,
        ];
        if !goes_on.contains(&error.kind()) {
            warn!(kind = ?error.kind(), "the sound device gave up");
            self.over.store(true, Ordering::Relaxed);
        }
    }
}

fn why(error: Error) -> NoSound {
    let kind = error.kind();
    warn!(?kind, "the sound device could not be used");
    if kind == ErrorKind::PermissionDenied {
        NoSound::NotAllowed
    } else if kind == ErrorKind::DeviceNotAvailable || kind == ErrorKind::HostUnavailable {
        NoSound::NotThere
    } else {
        NoSound::Failed
    }
}

struct Hearing {
    _stream: Stream,
    shared: Arc<Shared>,
}

impl Recording for Hearing {
    fn heard(&mut self) -> Result<Vec<i16>, NoSound> {
        let heard = {
            let mut heard = self
                .shared
                .heard
                .lock()
                .unwrap_or_else(PoisonError::into_inner);
            std::mem::take(&mut *heard)
        };
        // What was heard before the device gave up is handed over first.
        if heard.is_empty() && self.shared.over.load(Ordering::Relaxed) {
            return Err(NoSound::NotThere);
        }
        Ok(heard)
    }
}

fn hear<T>(
    device: &Device,
    config: StreamConfig,
    most: usize,
    shared: &Arc<Shared>,
) -> Result<Stream, Error>
where
    T: SizedSample + Send + 'static,
    i16: FromSample<T>,
{
    let channels = usize::from(config.channels.max(1));
    let mut rate = Rate::new(config.sample_rate, RATE);
    let (into, told) = (Arc::clone(shared), Arc::clone(shared));
    let mut moment = Vec::with_capacity(channels);
    device.build_input_stream(
        config,
        move |samples: &[T], _: &cpal::InputCallbackInfo| {
            let mut heard = into.heard.lock().unwrap_or_else(PoisonError::into_inner);
            for frame in samples.chunks_exact(channels) {
                moment.clear();
                moment.extend(frame.iter().map(|one| i16::from_sample(*one)));
                rate.push(mean(&moment), |sample| {
                    if heard.len() < most {
                        heard.push(sample);
                    }
                });
            }
        },
        move |error| told.said(&error),
        Some(PATIENCE),
    )
}

/// A note on its way to a loudspeaker.
struct Note {
    note: Vec<i16>,
    next: usize,
    rate: Rate,
    ready: VecDeque<i16>,
    /// Moments of silence behind it, so that a device has played all of it before it is over.
    behind: u32,
}

impl Note {
    fn of(note: &[i16], config: &StreamConfig) -> Self {
        Self {
            note: note.to_vec(),
            next: 0,
            rate: Rate::new(RATE, config.sample_rate),
            ready: VecDeque::new(),
            behind: config.sample_rate / 2,
        }
    }

    /// The next moment; `None` once all of it was said.
    fn moment(&mut self) -> Option<i16> {
        loop {
            if let Some(sample) = self.ready.pop_front() {
                return Some(sample);
            }
            let Some(sample) = self.note.get(self.next) else {
                self.behind = self.behind.checked_sub(1)?;
                return Some(0);
            };
            self.next += 1;
            let ready = &mut self.ready;
            self.rate.push(*sample, |one| ready.push_back(one));
        }
    }
}

struct Saying {
    _stream: Stream,
    shared: Arc<Shared>,
}

impl Playing for Saying {
    fn over(&mut self) -> bool {
        self.shared.over.load(Ordering::Relaxed)
    }
}

fn say<T>(
    device: &Device,
    config: StreamConfig,
    mut from: Note,
    shared: &Arc<Shared>,
) -> Result<Stream, Error>
where
    T: SizedSample + FromSample<i16> + Send + 'static,
{
    let channels = usize::from(config.channels.max(1));
    let (over, told) = (Arc::clone(shared), Arc::clone(shared));
    device.build_output_stream(
        config,
        move |samples: &mut [T], _: &cpal::OutputCallbackInfo| {
            for frame in samples.chunks_exact_mut(channels) {
                // What is not written is silence.
                let Some(sample) = from.moment() else {
                    over.over.store(true, Ordering::Relaxed);
                    break;
                };
                frame.fill(T::from_sample(sample));
            }
        },
        move |error| told.said(&error),
        Some(PATIENCE),
    )
}
