//! Door: the side that shows a code, and the side that types it, over a connection.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use iroh::endpoint::{Connection, RecvStream, SendStream};
use iroh::{Endpoint, EndpointAddr};
use tokio::time::timeout;
use tracing::{debug, info, warn};

use super::crowd::Crowd;
use super::depot::{Depot, DepotError};
use super::hub::{Note, Shared};
use super::meeting::remote;
use super::pairing::{
    Card, Channel, Code, Guest, Joined, Joiner, MOST_BROUGHT, MOST_PAIRING_FRAME, No,
    PAIRING_VERSION, PairingEnd, PairingError, PairingFrame, Shower, Showing, Try, is_name,
};
use super::{LinkEvent, PAIR_ALPN};
use crate::entry::{Consent, DeviceKey};
use crate::trust::{PAIRING_DOMAIN, SecretKey, consent_form};

/// The label of the keying material that a pairing is bound to.
const EXPORT_LABEL: &[u8] = b"EXPERIMENTAL tallywater pairing 1";

/// How many may knock at once, in all and from one address.
const MOST_KNOCKING: usize = 8;
const KNOCKING_EACH: usize = 2;

/// The code that is shown, if any.
pub(super) struct Door {
    showing: Mutex<Option<Shown>>,
    knocking: Arc<Crowd>,
}

/// A code with its tries; those under way keep hold of theirs when another is shown.
#[derive(Clone)]
pub(super) struct Shown(Arc<Mutex<Showing>>);

impl Shown {
    fn take_back(&self) -> bool {
        self.with(|showing| showing.hide(Instant::now()))
    }

    /// Waits until its time is over; whether that is what ended it.
    pub(super) async fn times_out(&self) -> bool {
        let ends = self.with(|showing| showing.ends());
        tokio::time::sleep_until(ends.into()).await;
        // Asked twice: only the first answer after the end is news.
        self.with(|showing| showing.ended(Instant::now())) == Some(PairingEnd::TimedOut)
    }

    fn with<T>(&self, step: impl FnOnce(&mut Showing) -> T) -> T {
        // Never held across an await or a call out; a panic leaves plain values.
        step(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Default for Door {
    fn default() -> Self {
        Self {
            showing: Mutex::new(None),
            knocking: Crowd::new(MOST_KNOCKING, 0, KNOCKING_EACH),
        }
    }
}

impl Door {
    fn lock(&self) -> MutexGuard<'_, Option<Shown>> {
        self.showing.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Shows a code in place of any other; whether another was still good, and the code.
    pub(super) fn show(&self, showing: Showing) -> (bool, Shown) {
        let shown = Shown(Arc::new(Mutex::new(showing)));
        let before = self.lock().replace(shown.clone());
        (before.is_some_and(|before| before.take_back()), shown)
    }

    /// Takes the code back; whether there was one that was still good.
    pub(super) fn hide(&self) -> bool {
        let before = self.lock().take();
        before.is_some_and(|before| before.take_back())
    }

    /// Answers somebody who knocks. Whatever goes wrong costs that connection only.
    pub(super) async fn serve(&self, shared: &Arc<Shared>, connection: Connection) {
        let address = remote(&connection).map(|at| at.ip());
        let place = address.and_then(|address| self.knocking.enter(address, false));
        if let Some(_place) = place {
            let served = timeout(shared.patience.pairing, self.answer(shared, &connection)).await;
            if served.is_err() {
                debug!("a pairing took too long");
            }
        }
        connection.close(0u32.into(), b"");
    }

    async fn answer(&self, shared: &Arc<Shared>, connection: &Connection) {
        let stream = timeout(shared.patience.handshake, connection.accept_bi()).await;
        let Ok(Ok((mut send, mut recv))) = stream else {
            return;
        };
        let no = match self.pair(shared, connection, &mut send, &mut recv).await {
            Ok(()) => None,
            Err(no) => no,
        };
        if let Some((why, left)) = no {
            let _ = write(&mut send, &PairingFrame::No { why, left }).await;
        }
        let _ = send.finish();
        // The other side closes when it has read the last frame; closing first could
        // overtake it.
        connection.closed().await;
    }

    /// `None` inside when there is nobody left to say no to.
    async fn pair(
        &self,
        shared: &Arc<Shared>,
        connection: &Connection,
        send: &mut SendStream,
        recv: &mut RecvStream,
    ) -> Result<(), Option<(No, u8)>> {
        // Whoever says nothing holds a place for a moment and not for a whole pairing.
        let first = timeout(shared.patience.handshake, read(recv)).await;
        let Ok(Some(PairingFrame::Begin { version, message })) = first else {
            return Err(Some((No::Broken, 0)));
        };
        if version < PAIRING_VERSION {
            return Err(Some((No::Version, 0)));
        }
        let channel =
            channel(connection, &shared.endpoint, Side::Shower).ok_or(Some((No::Broken, 0)))?;
        let shown = self.lock().clone().ok_or(Some((No::NoCode, 0)))?;
        let begun = shown.with(|showing| showing.begin(Instant::now()));
        let begun = begun.map_err(|end| match end {
            Some(_) => Some((No::NoCode, 0)),
            None => Some((No::Busy, 0)),
        })?;
        // From here a try is under way: it comes back unless a proof was heard, also when
        // this task is dropped for taking too long.
        let mut begun = UnderWay {
            shown,
            begun: Some(begun),
        };
        let code = begun.code().ok_or(None)?;
        let (shower, answer) =
            Shower::answer(&code, channel, &message).map_err(|_| Some((No::Broken, 0)))?;
        write(send, &PairingFrame::Answer(answer))
            .await
            .ok_or(None)?;
        let Some(PairingFrame::JoinerProof(proof)) = read(recv).await else {
            return Err(Some((No::Broken, 0)));
        };
        let Some((proved, own)) = shower.check(&proof) else {
            let left = begun.wrong();
            info!(left, "a wrong code was typed");
            shared.tell(LinkEvent::WrongCode { left });
            if left == 0 {
                let why = PairingEnd::TooManyTries;
                shared.tell(LinkEvent::CodeEnded { why });
            }
            return Err(Some((No::WrongCode, left)));
        };
        begun.right().map_err(|_| Some((No::NoCode, 0)))?;
        shared.tell(LinkEvent::CodeEnded {
            why: PairingEnd::Used,
        });
        write(send, &PairingFrame::ShowerProof(own))
            .await
            .ok_or(None)?;
        let mut brought = Vec::new();
        let (card, seal) = loop {
            match read(recv).await {
                Some(PairingFrame::Brought(part)) if brought.len() + part.len() <= MOST_BROUGHT => {
                    brought.extend(part);
                }
                Some(PairingFrame::Card(card, seal)) => break (card, seal),
                Some(_) | None => return Err(Some((No::Broken, 0))),
            }
        };
        let paired = proved
            .card(card, brought, &seal)
            .map_err(|_| Some((No::Broken, 0)))?;
        let peer = paired.link;
        let proof = channel.proof(false);
        let guest = begun.guest();
        let admitted = shared
            .ask(move |depot| {
                let device = depot.device_name()?;
                Ok((
                    own_card(depot, &proof, device, None)?,
                    depot.admit(&paired, &guest)?,
                ))
            })
            .await;
        let (card, welcome) = admitted.map_err(|error| {
            warn!(%error, "a device that knew the code was not admitted");
            Some((No::NotAdmitted, 0))
        })?;
        let seal = proved.welcome(welcome, &card);
        info!(peer = %peer.short(), "a device was admitted");
        shared.note(Note::Devices);
        let frame = PairingFrame::Welcome(welcome.root, card, seal);
        write(send, &frame).await.ok_or(None)
    }
}

/// A try that is given back when it is dropped before it was decided.
struct UnderWay {
    shown: Shown,
    begun: Option<Try>,
}

impl UnderWay {
    fn code(&self) -> Option<Code> {
        self.begun.as_ref().map(|begun| begun.code.clone())
    }

    fn guest(&self) -> Guest {
        self.shown.with(|showing| showing.guest())
    }

    fn wrong(&mut self) -> u8 {
        match self.begun.take() {
            Some(begun) => self.shown.with(|showing| showing.wrong(begun)),
            None => 0,
        }
    }

    fn right(&mut self) -> Result<(), PairingEnd> {
        let begun = self.begun.take().ok_or(PairingEnd::Hidden)?;
        self.shown
            .with(|showing| showing.right(begun, Instant::now()))
    }
}

impl Drop for UnderWay {
    fn drop(&mut self) {
        if let Some(begun) = self.begun.take() {
            self.shown.with(|showing| showing.give_back(begun));
        }
    }
}

/// What a pairing over this connection is bound to.
fn channel(connection: &Connection, own: &Endpoint, side: Side) -> Option<Channel> {
    let mut exported = [0; 32];
    connection
        .export_keying_material(&mut exported, EXPORT_LABEL, b"")
        .ok()?;
    let own = super::endpoint::key(own);
    let other = DeviceKey(*connection.remote_id().as_bytes());
    let (joiner, shower) = match side {
        Side::Joiner => (own, other),
        Side::Shower => (other, own),
    };
    Some(Channel {
        exported,
        joiner,
        shower,
    })
}

#[derive(Clone, Copy)]
enum Side {
    Joiner,
    Shower,
}

/// Joins with the code that was typed, at the device with this address.
pub(super) async fn join(
    shared: &Arc<Shared>,
    at: EndpointAddr,
    code: &Code,
    device: &str,
) -> Result<Joined, PairingError> {
    if !is_name(device) {
        return Err(PairingError::Name);
    }
    let trying = try_to_join(shared, at, code, device);
    let joined = timeout(shared.patience.pairing, trying).await;
    let joined = joined.unwrap_or(Err(PairingError::NotReached))?;
    let kept = joined.clone();
    let kept = shared.ask(move |depot| depot.join(&kept)).await;
    kept.map_err(|error| own_store(&error))?;
    let addresses = joined.at.into_iter().collect();
    shared.note(Note::Look(Some((joined.link, addresses))));
    Ok(joined)
}

async fn try_to_join(
    shared: &Arc<Shared>,
    at: EndpointAddr,
    code: &Code,
    device: &str,
) -> Result<Joined, PairingError> {
    let connecting = shared.endpoint.connect(at, PAIR_ALPN).await;
    let connection = connecting.map_err(|error| {
        debug!(%error, "not reached for a pairing");
        PairingError::NotReached
    })?;
    let joined = speak_as_joiner(shared, &connection, code, device).await;
    connection.close(0u32.into(), b"");
    joined
}

async fn speak_as_joiner(
    shared: &Arc<Shared>,
    connection: &Connection,
    code: &Code,
    device: &str,
) -> Result<Joined, PairingError> {
    let lost = PairingError::NotReached;
    let channel =
        channel(connection, &shared.endpoint, Side::Joiner).ok_or(PairingError::Broken)?;
    let (mut send, mut recv) = connection.open_bi().await.map_err(|_| lost)?;
    let (joiner, message) = Joiner::begin(code, channel)?;
    let version = PAIRING_VERSION;
    let begin = PairingFrame::Begin { version, message };
    write(&mut send, &begin).await.ok_or(lost)?;
    let PairingFrame::Answer(answer) = heard(read(&mut recv).await)? else {
        return Err(PairingError::Broken);
    };
    let (proved, proof) = joiner.answered(&answer)?;
    write(&mut send, &PairingFrame::JoinerProof(proof))
        .await
        .ok_or(lost)?;
    let PairingFrame::ShowerProof(proof) = heard(read(&mut recv).await)? else {
        return Err(PairingError::Broken);
    };
    let own = channel.proof(true);
    let device = device.to_owned();
    let card = shared.ask(move |depot| {
        let card = own_card(depot, &own, device, Some(&channel.shower))?;
        Ok((card, depot.brings()?))
    });
    let (card, brings) = card.await.map_err(|error| own_store(&error))?;
    let seal = proved.card(&proof, &card, &brings)?;
    for part in PairingFrame::brought(&brings) {
        write(&mut send, &part).await.ok_or(lost)?;
    }
    write(&mut send, &PairingFrame::Card(card, seal))
        .await
        .ok_or(lost)?;
    let PairingFrame::Welcome(root, card, seal) = heard(read(&mut recv).await)? else {
        return Err(PairingError::Broken);
    };
    let joined = proved.welcomed(root, card, &seal)?;
    Ok(Joined {
        at: remote(connection),
        ..joined
    })
}

/// This device's card, with its consent to be admitted by whoever shows the code.
fn own_card(
    depot: &dyn Depot,
    proof: &[u8; 32],
    device: String,
    admitted_by: Option<&DeviceKey>,
) -> Result<Card, DepotError> {
    let (signing, signature) = depot.prove(proof)?;
    let consent = match admitted_by {
        None => Consent::of(&[0; 128]),
        Some(by) => {
            let link = SecretKey::from_seed(&*depot.link_seed()?);
            let form = consent_form(&signing, &link.public(), by);
            Consent {
                key: depot.prove(&form)?.1,
                link: link.sign(PAIRING_DOMAIN, &form),
            }
        }
    };
    Ok(Card {
        signing,
        device,
        signature,
        consent,
    })
}

fn own_store(error: &DepotError) -> PairingError {
    warn!(%error, "this device could not do its part of a pairing");
    match error {
        DepotError::OtherShop => PairingError::OtherShop,
        DepotError::Full | DepotError::Sync(_) | DepotError::Closed | DepotError::Failed { .. } => {
            PairingError::OwnStore
        }
    }
}

/// What the shower said, or why it said no.
fn heard(frame: Option<PairingFrame>) -> Result<PairingFrame, PairingError> {
    match frame {
        None => Err(PairingError::NotReached),
        Some(PairingFrame::No { why, left }) => Err(match why {
            No::WrongCode => PairingError::WrongCode { left },
            No::NoCode => PairingError::NoCode,
            No::Busy => PairingError::Busy,
            No::Version => PairingError::Version,
            No::Broken => PairingError::Broken,
            No::NotAdmitted => PairingError::NotAdmitted,
        }),
        Some(frame) => Ok(frame),
    }
}

async fn write(stream: &mut SendStream, frame: &PairingFrame) -> Option<()> {
    stream.write_all(&frame.encode()).await.ok()
}

async fn read(stream: &mut RecvStream) -> Option<PairingFrame> {
    let mut length = [0; 2];
    stream.read_exact(&mut length).await.ok()?;
    let length = usize::from(u16::from_be_bytes(length));
    if length > MOST_PAIRING_FRAME {
        return None;
    }
    let mut bytes = vec![0; length];
    stream.read_exact(&mut bytes).await.ok()?;
    PairingFrame::decode(&bytes)
}
