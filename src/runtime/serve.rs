//! The house with its doors open: the server, the worker that carries answers, and an orderly end.

use std::{net::SocketAddr, time::Duration};

use anyhow::{Context, bail};
use tokio::{net::TcpListener, signal, sync::watch};

use super::{backups, deliver, forget, house::House, lines, messengers};
use crate::{store::Member, web};

/// How long requests that have begun may take to end after the house was asked to close. A body may take twenty seconds.
const ENDING_WAIT: Duration = Duration::from_secs(30);

/// Serves until it is told to stop, or the book fails.
pub(super) fn run(house: &mut House, demo: bool) -> anyhow::Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("no runtime")?;
    runtime.block_on(serve(house, demo))
}

async fn serve(house: &mut House, demo: bool) -> anyhow::Result<()> {
    let address = house.config.listen;
    let listener = TcpListener::bind(address)
        .await
        .with_context(|| format!("{address} cannot be listened on; another address goes with --listen"))?;
    greet(house, listener.local_addr().context("no local address")?, demo).await?;
    let (stop, stopping) = watch::channel(false);
    house.store.warm_up().context("with the book")?;
    let carrier = deliver::start(house, stopping.clone())?;
    let workers = messengers::start(house, &stopping)?;
    let forgetter = tokio::spawn(forget::old_recordings(house.forgetter(), stopping.clone()));
    let keeper = backups::start(house, house.watch.clone(), stopping.clone());
    let mut server = tokio::spawn(web::serve(listener, house.deps(), told_to(stopping)));
    let failed = tokio::select! {
        () = asked_to_end() => false,
        () = house.store.failed() => true,
    };
    // A receiver is alive as long as the server is; without one there is nobody left to tell.
    let _ = stop.send(true);
    forgetter
        .await
        .context("the worker that lets old recordings go failed")?;
    if let Some(carrier) = carrier {
        carrier.await.context("the carrier of answers failed")?;
    }
    for worker in workers {
        worker.await.context("a worker of the messengers failed")?;
    }
    if let Some(keeper) = keeper {
        keeper.await.context("the keeper of backups failed")?;
    }
    match tokio::time::timeout(ENDING_WAIT, &mut server).await {
        Ok(ended) => ended.context("the server failed")?.context("the server failed")?,
        Err(_) => {
            tracing::warn!("some requests did not end in time and were left");
            server.abort();
        }
    }
    if failed {
        bail!("the book has failed, so the house is closed");
    }
    Ok(())
}

async fn greet(house: &House, address: SocketAddr, demo: bool) -> anyhow::Result<()> {
    let path = web::new_link(&house.deps(), house.store.owner().id).await?;
    if demo {
        lines::print("This is the demo: an invented business in a book of its own.")?;
    }
    lines::print(&format!("Tallyhand keeps the book {}", house.config.db.display()))?;
    lines::print(&format!("and serves it on http://{address}"))?;
    lines::print(&format!("Sign in once, within a day: {}{path}", base(house, address)))?;
    if house.config.public_url.is_some() {
        lines::print(&format!("(or here: http://{address}{path})"))?;
    }
    Ok(())
}

fn base(house: &House, address: SocketAddr) -> String {
    house
        .config
        .public_url
        .clone()
        .unwrap_or_else(|| format!("http://{address}"))
}

/// Prints a fresh sign-in link for a member by name, or for the owner.
pub(super) fn print_link(house: &House, name: Option<&str>) -> anyhow::Result<()> {
    let member = house.wait(house.member(name))??;
    print_link_for(house, &member)
}

/// Prints a fresh sign-in link for a member.
pub(super) fn print_link_for(house: &House, member: &Member) -> anyhow::Result<()> {
    let path = house.wait(web::new_link(&house.deps(), member.id))??;
    lines::print(&format!("{}{path}", base(house, house.config.listen)))
}

async fn told_to(mut stopping: watch::Receiver<bool>) {
    // An error means that the sender is gone, which is a reason to stop as well.
    let _ = stopping.wait_for(|stop| *stop).await;
}

/// Ctrl-C, or the system asking.
async fn asked_to_end() {
    #[cfg(unix)]
    {
        let mut terminate = match signal::unix::signal(signal::unix::SignalKind::terminate()) {
            Ok(terminate) => terminate,
            Err(_) => return wait_for_interrupt().await,
        };
        tokio::select! {
            () = wait_for_interrupt() => {}
            _ = terminate.recv() => {}
        }
    }
    #[cfg(not(unix))]
    wait_for_interrupt().await;
}

async fn wait_for_interrupt() {
    if signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}
