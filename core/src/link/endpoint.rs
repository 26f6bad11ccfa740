//! Endpoint: the socket, as iroh gives it, with everything turned off that would ask
//! anything of anyone but paired devices and the local network.

use std::net::SocketAddr;

use iroh::dns::DnsResolver;
use iroh::endpoint::{
    IdleTimeout, NetReportConfig, PortmapperConfig, QuicTransportConfig, presets,
};
use iroh::{Endpoint, RelayMode, SecretKey};
use iroh_mdns_address_lookup::MdnsAddressLookup;
use tracing::warn;

use super::{LINK_ALPN, LinkError, PAIR_ALPN, Patience};

/// The name under which devices find each other by mDNS.
const SERVICE: &str = "tallywater";

/// Streams that a peer may have open at once, one a ledger under way and one for control.
const MOST_STREAMS: u32 = 256;

/// How devices are found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Discovery {
    /// By mDNS on the local network.
    LocalNetwork,
    /// Only where they were met before or where one is told to look.
    KnownAddresses,
}

/// How a link is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LinkConfig {
    /// Where to listen, at most one address a family; port 0 is any free one. None for every
    /// interface and a free port.
    pub listen: Vec<SocketAddr>,
    /// How devices are found.
    pub discovery: Discovery,
    /// How long to wait for what.
    pub patience: Patience,
}

impl Default for LinkConfig {
    fn default() -> Self {
        Self {
            listen: Vec::new(),
            discovery: Discovery::LocalNetwork,
            patience: Patience::default(),
        }
    }
}

/// Binds the endpoint, and mDNS if it is wanted and the network allows it.
pub(super) async fn bind(
    seed: &[u8; 32],
    config: &LinkConfig,
) -> Result<(Endpoint, Option<MdnsAddressLookup>), LinkError> {
    let bound = builder(seed, config, &config.listen)?.bind().await;
    // A port that was asked for and is taken stays an error: a firewall lets through the one
    // that was named and no other.
    let endpoint = bound.map_err(|error| {
        if config.listen.iter().any(|at| at.port() != 0) {
            LinkError::PortTaken {
                detail: error.to_string(),
            }
        } else {
            bind_error(&error)
        }
    })?;
    let mdns = match config.discovery {
        Discovery::KnownAddresses => None,
        Discovery::LocalNetwork => look_around(&endpoint),
    };
    Ok((endpoint, mdns))
}

fn builder(
    seed: &[u8; 32],
    config: &LinkConfig,
    listen: &[SocketAddr],
) -> Result<iroh::endpoint::Builder, LinkError> {
    let patience = &config.patience;
    let idle = IdleTimeout::try_from(patience.idle).map_err(|error| bind_error(&error))?;
    let transport = QuicTransportConfig::builder()
        .max_concurrent_uni_streams(MOST_STREAMS.into())
        .max_concurrent_bidi_streams(1u32.into())
        .max_idle_timeout(Some(idle))
        .keep_alive_interval(patience.idle / 4)
        .datagram_receive_buffer_size(None)
        .build();
    let mut builder = Endpoint::builder(presets::Minimal)
        .secret_key(SecretKey::from_bytes(seed))
        .alpns(vec![LINK_ALPN.to_vec(), PAIR_ALPN.to_vec()])
        .relay_mode(RelayMode::Disabled)
        .net_report_config(NetReportConfig::minimal())
        .portmapper_config(PortmapperConfig::Disabled)
        // No name is ever looked up: a resolver without servers cannot ask one.
        .dns_resolver(DnsResolver::builder().disable_fallback().build())
        .transport_config(transport);
    if !listen.is_empty() {
        builder = builder.clear_ip_transports();
    }
    for at in listen {
        builder = builder.bind_addr(*at).map_err(|error| bind_error(&error))?;
    }
    Ok(builder)
}

fn look_around(endpoint: &Endpoint) -> Option<MdnsAddressLookup> {
    let built = MdnsAddressLookup::builder()
        .service_name(SERVICE)
        .build(endpoint.id());
    match (built, endpoint.address_lookup()) {
        (Ok(mdns), Ok(lookups)) => {
            lookups.add(mdns.clone());
            Some(mdns)
        }
        (Err(error), _) => {
            // A phone's hotspot or a guest network may forbid it; known addresses remain.
            warn!(%error, "this network does not allow devices to look for each other");
            None
        }
        (_, Err(_)) => None,
    }
}

fn bind_error(error: &dyn std::fmt::Display) -> LinkError {
    LinkError::Bind {
        detail: error.to_string(),
    }
}

/// Addresses this endpoint can be reached at by others in the same network.
pub(super) fn addresses(endpoint: &Endpoint) -> Vec<SocketAddr> {
    let known: Vec<SocketAddr> = endpoint.addr().ip_addrs().copied().collect();
    if known.is_empty() {
        endpoint.bound_sockets()
    } else {
        known
    }
}

/// The endpoint's key, in our own type.
pub(super) fn key(endpoint: &Endpoint) -> crate::entry::DeviceKey {
    crate::entry::DeviceKey(*endpoint.id().as_bytes())
}
