//! `tallyhand channels`: how each messenger fares, and whether a token and a webhook are good.

use std::time::Duration;

use anyhow::{Context, bail};
use serde_json::Value;

use super::{Messengers, news::telegram_webhook_url};
use crate::{
    channels::{Channel, Response, Verdict, gateway::QUERY, telegram::Telegram},
    runtime::{house::House, lines},
    store::{CallbackState, ChannelState},
    units::Timestamp,
};

/// What the signed webhook is called among them.
const SIGNED: &str = "signed";

/// Prints a line or two for each messenger, and who writes by it.
pub(in crate::runtime) fn show(house: &House) -> anyhow::Result<()> {
    house.wait(async {
        let store = house.store.handle();
        for channel in Channel::ALL {
            let state = store.channel_state(channel).await?;
            let on = house.config.lines.line(channel).is_some();
            lines::print(&line(channel, on, &state))?;
            if let Some((at, failure)) = &state.failure {
                lines::print(&format!("          last failure {at}: {failure}"))?;
            }
        }
        lines::print(&signed_line(house, &store.callback_state().await?))?;
        let chats = store.chats(house.store.owner().account).await?;
        if !chats.is_empty() {
            lines::print("")?;
        }
        for chat in chats {
            let silenced = if chat.silenced { ", wants no answers" } else { "" };
            lines::print(&format!(
                "{:<10}{} ({}), last heard {}{silenced}",
                chat.channel, chat.name, chat.address, chat.heard_at
            ))?;
        }
        Ok(())
    })?
}

/// Where we are called, as whoever calls has to have it.
fn address(house: &House) -> String {
    let here = || format!("http://{}", house.config.listen);
    house.config.public_url.clone().unwrap_or_else(here)
}

fn whatsapp_webhook(public_url: Option<&str>) -> anyhow::Result<String> {
    match public_url {
        Some(url) if url.starts_with("https://") => Ok(format!("set its webhook to {url}/hooks/whatsapp")),
        Some(url) => bail!("WhatsApp calls addresses with https:// alone, and public_url is {url}"),
        None => bail!("it needs public_url, so that its webhook can reach this house"),
    }
}

fn signed_line(house: &House, state: &CallbackState) -> String {
    if house.config.signed_secrets.is_empty() {
        return format!("{SIGNED:<10}off");
    }
    let carried = match &house.config.callback_url {
        None => "answers go into the response alone".to_string(),
        Some(url) => format!(
            "answers are carried to {}, to go out {}, not delivered {}",
            url.host_str().unwrap_or_default(),
            state.queued,
            state.given_up
        ),
    };
    format!("{SIGNED:<10}on at {}/hooks/signed; {carried}", address(house))
}

/// The signed webhook has nobody to ask: its callers have to be told where it is.
fn test_signed(house: &House) -> anyhow::Result<()> {
    if house.config.signed_secrets.is_empty() {
        bail!("{SIGNED} is switched off; the README says what to set");
    }
    lines::print(&format!(
        "the secret is good: signed calls are taken at {}/hooks/signed while `serve` runs",
        address(house)
    ))?;
    match &house.config.callback_url {
        Some(url) => lines::print(&format!(
            "answers are carried to {}",
            url.host_str().unwrap_or_default()
        )),
        None => Ok(()),
    }
}

fn line(channel: Channel, on: bool, state: &ChannelState) -> String {
    if !on && state.people == 0 {
        return format!("{:<10}off", channel.code());
    }
    let at = |at: Option<Timestamp>| at.map_or_else(|| "never".to_string(), |at| at.to_string());
    format!(
        "{:<10}{}; people {}; last heard {}, last sent {}; waiting {}, to go out {}, not delivered {}",
        channel.code(),
        if on { "on" } else { "off" },
        state.people,
        at(state.heard_at),
        at(state.sent_at),
        state.waiting,
        state.queued,
        state.given_up
    )
}

/// Asks the provider whether we are who we say we are, and says what it has as webhook.
pub(in crate::runtime) fn test(house: &House, name: &str) -> anyhow::Result<()> {
    if name == SIGNED {
        return test_signed(house);
    }
    let Some(channel) = Channel::parse(name) else {
        let known: Vec<&str> = Channel::ALL
            .iter()
            .map(|channel| channel.code())
            .chain([SIGNED])
            .collect();
        bail!("{name:?} is no channel; there are {}", known.join(", "));
    };
    let messengers = Messengers::of_house(house)?;
    house.wait(async {
        let Some(line) = messengers.lines.line(channel) else {
            bail!("{name} is switched off; the README says what to set");
        };
        let response = match messengers.caller.ask(&line.probe(), Duration::ZERO).await {
            Ok(response) => response,
            Err(failure) => {
                bail!("{name} gave no answer ({failure}): look at the network, and at its address in the settings");
            }
        };
        match line.judge_probe(&response) {
            Ok(words) => lines::print(&words)?,
            Err(why) => bail!("{why}"),
        }
        if let (Channel::Telegram, Some(bot)) = (channel, &messengers.lines.telegram) {
            test_webhook(&messengers, bot).await?;
        }
        match channel {
            Channel::Whatsapp => lines::print(&whatsapp_webhook(messengers.public_url.as_deref())?)?,
            Channel::Gateway => lines::print(&format!(
                "set its get-url to {}/hooks/gateway?key=KEY&{QUERY}, with your gateway_key for KEY",
                address(house)
            ))?,
            Channel::Telegram | Channel::Sms | Channel::Matrix => {}
        }
        // Such as a second program that fetches the same news, which nothing but the fetching shows.
        if let Some((at, failure)) = messengers.store.channel_state(channel).await?.failure {
            lines::print(&format!("its last failure here, {at}: {failure}"))?;
        }
        Ok(())
    })?
}

async fn test_webhook(messengers: &Messengers, bot: &Telegram) -> anyhow::Result<()> {
    let response: Response = messengers.caller.ask(&bot.webhook_info(), Duration::ZERO).await?;
    if !matches!(Verdict::of_status(&response, String::new()), Verdict::Sent { .. }) {
        bail!("Telegram does not say what its webhook is: status {}", response.status);
    }
    let info = response.json().context("Telegram's answer is not JSON")?;
    let info = &info["result"];
    let url = info["url"].as_str().unwrap_or_default();
    let wanted = messengers.public_url.as_deref().map(telegram_webhook_url);
    lines::print(&match (bot.is_webhook(), url.is_empty()) {
        (false, true) => "no webhook is set: `serve` asks for news itself, which needs no public address".to_string(),
        (false, false) => "a webhook is set; `serve` takes it away and asks for news itself".to_string(),
        (true, true) => "no webhook is set yet; `serve` sets it".to_string(),
        (true, false) if Some(url) == wanted.as_deref() => format!("the webhook is {url}, as it should be"),
        (true, false) => format!("the webhook is {url}, which is not this house; `serve` sets it anew"),
    })?;
    let pending = info["pending_update_count"].as_i64().unwrap_or_default();
    lines::print(&format!("messages waiting there: {pending}"))?;
    if let (Some(why), Some(at)) = (info["last_error_message"].as_str(), info["last_error_date"].as_i64()) {
        let at = Timestamp::from_unix_seconds(at).map_or_else(|| Value::from(at).to_string(), |at| at.to_string());
        lines::print(&format!("Telegram's last failure in calling it, {at}: {why}"))?;
    }
    if bot.is_webhook() && messengers.public_url.is_none() {
        bail!("the webhook needs public_url, so that Telegram can reach this house");
    }
    Ok(())
}
