//! `soundmetal open`: the local web app.

use super::DataDir;
use crate::failure::{Failure, Kind};
use crate::shop_data::ShopData;
use crate::web::{self, App, Guard};
use clap::Args;
use std::io::Write as _;
use std::net::{Ipv4Addr, SocketAddr};
use store::{Claim, DataFolder};

/// Opens the local web app.
#[derive(Debug, Args)]
pub struct Open {
    #[command(flatten)]
    data: DataDir,
    /// Port to listen on; 0 takes any that is free
    #[arg(long, default_value_t = 7153)]
    port: u16,
    /// Do not open a browser
    #[arg(long)]
    no_browser: bool,
    /// Let other machines of this network in, after they have typed a pairing code
    #[arg(long)]
    lan: bool,
    /// A new data folder starts empty, without the invented shop, its cards and its patterns
    #[arg(long)]
    without_demo: bool,
}

/// Runs the server until it is told to stop.
pub fn run(open: &Open) -> Result<(), Failure> {
    let folder = open.data.folder()?;
    let claim = match folder.claim_server()? {
        Claim::Granted(claim) => claim,
        Claim::Running { address } => return show_running(open, &folder, address),
    };
    let data = ShopData::open_with(folder, !open.without_demo)?;
    let app = App::new(data, Guard::new(open.lan)?)?;
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(Failure::machine)?;
    runtime.block_on(async {
        let ip = if open.lan { Ipv4Addr::UNSPECIFIED } else { Ipv4Addr::LOCALHOST };
        let listener = listen(SocketAddr::from((ip, open.port))).await?;
        let port = listener.local_addr().map_err(Failure::machine)?.port();
        let address = format!("http://127.0.0.1:{port}");
        claim.announce(&address)?;
        say(&format!("listening on {address}\n"))?;
        if open.lan {
            eprintln!(
                "other machines of this network open this machine's own network address, port {port}, with the pairing code {}",
                app.guard.code()
            );
            eprintln!("what they send is not encrypted: use --lan on a network you trust");
        }
        if !open.no_browser {
            browse(&address);
        }
        serve(listener, app).await
    })
}

async fn listen(address: SocketAddr) -> Result<tokio::net::TcpListener, Failure> {
    tokio::net::TcpListener::bind(address).await.map_err(|error| {
        let message = format!("port {} cannot be used: {error}", address.port());
        Failure::new(Kind::BadInput, message).hint("name another with --port, or 0 for any that is free")
    })
}

/// Serves until Ctrl-C (code 130) or the system's request to end (code 0).
async fn serve(listener: tokio::net::TcpListener, app: std::sync::Arc<App>) -> Result<(), Failure> {
    let service = web::router(app).into_make_service_with_connect_info::<SocketAddr>();
    tokio::select! {
        ended = async { axum::serve(listener, service).await } => ended.map_err(Failure::machine),
        () = interrupted() => Err(Failure::new(Kind::Stopped, "stopped")),
        () = asked_to_end() => Ok(()),
    }
}

async fn interrupted() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

#[cfg(unix)]
async fn asked_to_end() {
    use tokio::signal::unix::{SignalKind, signal};
    match signal(SignalKind::terminate()) {
        Ok(mut terminate) => drop(terminate.recv().await),
        Err(_) => std::future::pending().await,
    }
}

#[cfg(not(unix))]
async fn asked_to_end() {
    std::future::pending().await
}

/// Another soundmetal serves this folder already: show that one.
fn show_running(open: &Open, folder: &DataFolder, address: Option<String>) -> Result<(), Failure> {
    let starting = || {
        let message = format!("another soundmetal is starting on {}", folder.root().display());
        Failure::bad_input(message).hint("try again in a moment")
    };
    let address = address.ok_or_else(starting)?;
    say(&format!("running already on {address}\n"))?;
    if !open.no_browser {
        browse(&address);
    }
    Ok(())
}

fn browse(address: &str) {
    if let Err(error) = opener::open(address) {
        eprintln!("no browser could be opened ({error}); open {address} yourself");
    }
}

fn say(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(Failure::machine)
}
