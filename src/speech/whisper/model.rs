//! The network: an encoder that looks at the features once, a decoder that gives one word piece after the other.
//!
//! Written with `candle`. The encoder runs in 32-bit floats; the decoder's matrices are quantised to 8 bits, which halves
//! its time and changes no word that was measured. Several beginnings of the text can be continued side by side.

use candle_core::{
    Device, IndexOp, Module, Tensor,
    quantized::{GgmlDType, QMatMul, QTensor},
};
use candle_nn::ops::{layer_norm, softmax_last_dim};

use super::{Error, features::BANDS, weights::Weights};

/// What is added to a variance before its root is divided by, as the model was trained.
const LAYER_NORM_EPSILON: f32 = 1e-5;

/// A matrix, in floats or quantised.
enum Matrix {
    Float(Tensor),
    Quantised(QMatMul),
}

/// A linear layer.
struct Linear {
    matrix: Matrix,
    bias: Option<Tensor>,
}

impl Linear {
    fn new(weight: Tensor, bias: Option<Tensor>, quantised: bool) -> Result<Linear, Error> {
        let matrix = if quantised {
            let tensor = QTensor::quantize(&weight, GgmlDType::Q8_0)?;
            Matrix::Quantised(QMatMul::from_qtensor(tensor)?)
        } else {
            Matrix::Float(weight.t()?)
        };
        Ok(Linear { matrix, bias })
    }

    fn read(weights: &Weights, name: &str, quantised: bool) -> Result<Linear, Error> {
        let weight = weights.tensor(&format!("{name}/weight"))?;
        let bias = weights.tensor(&format!("{name}/bias"))?;
        Linear::new(weight, Some(bias), quantised)
    }

    fn forward(&self, x: &Tensor) -> candle_core::Result<Tensor> {
        let y = match &self.matrix {
            Matrix::Float(matrix) => x.matmul(matrix)?,
            Matrix::Quantised(matrix) => matrix.forward(&x.contiguous()?)?,
        };
        match &self.bias {
            Some(bias) => y.broadcast_add(bias),
            None => Ok(y),
        }
    }
}

/// A layer normalisation.
struct Norm {
    gamma: Tensor,
    beta: Tensor,
}

impl Norm {
    fn read(weights: &Weights, name: &str) -> Result<Norm, Error> {
        Ok(Norm {
            gamma: weights.tensor(&format!("{name}/layer_norm/gamma"))?,
            beta: weights.tensor(&format!("{name}/layer_norm/beta"))?,
        })
    }

    fn forward(&self, x: &Tensor) -> candle_core::Result<Tensor> {
        layer_norm(&x.contiguous()?, &self.gamma, &self.beta, LAYER_NORM_EPSILON)
    }
}

/// Attention of the text (or the sound) to itself.
struct ToItself {
    norm: Norm,
    queries_keys_values: Linear,
    out: Linear,
}

/// Attention of the text to the sound.
struct ToSound {
    norm: Norm,
    queries: Linear,
    keys_values: Linear,
    out: Linear,
}

/// The two layers after the attention.
struct Mix {
    norm: Norm,
    widen: Linear,
    narrow: Linear,
}

impl Mix {
    fn read(weights: &Weights, name: &str, quantised: bool) -> Result<Mix, Error> {
        Ok(Mix {
            norm: Norm::read(weights, &format!("{name}/ffn"))?,
            widen: Linear::read(weights, &format!("{name}/ffn/linear_0"), quantised)?,
            narrow: Linear::read(weights, &format!("{name}/ffn/linear_1"), quantised)?,
        })
    }

    fn forward(&self, x: Tensor) -> candle_core::Result<Tensor> {
        let wide = self.widen.forward(&self.norm.forward(&x)?)?.gelu()?;
        x + self.narrow.forward(&wide)?
    }
}

impl ToItself {
    fn read(weights: &Weights, name: &str, quantised: bool) -> Result<ToItself, Error> {
        let name = format!("{name}/self_attention");
        Ok(ToItself {
            norm: Norm::read(weights, &name)?,
            queries_keys_values: Linear::read(weights, &format!("{name}/linear_0"), quantised)?,
            out: Linear::read(weights, &format!("{name}/linear_1"), quantised)?,
        })
    }
}

impl ToSound {
    fn read(weights: &Weights, name: &str) -> Result<ToSound, Error> {
        let name = format!("{name}/attention");
        Ok(ToSound {
            norm: Norm::read(weights, &name)?,
            queries: Linear::read(weights, &format!("{name}/linear_0"), true)?,
            // Worked out once for each clip, over all of the sound: floats are as fast and exact.
            keys_values: Linear::read(weights, &format!("{name}/linear_1"), false)?,
            out: Linear::read(weights, &format!("{name}/linear_2"), true)?,
        })
    }
}

/// A layer of the encoder.
struct EncoderLayer {
    to_itself: ToItself,
    mix: Mix,
}

/// A layer of the decoder.
struct DecoderLayer {
    to_itself: ToItself,
    to_sound: ToSound,
    mix: Mix,
}

/// The network.
pub(super) struct Model {
    convolutions: [(Tensor, Tensor); 2],
    encoder_places: Tensor,
    encoder: Vec<EncoderLayer>,
    encoder_norm: Norm,
    pieces: Tensor,
    decoder_places: Tensor,
    decoder: Vec<DecoderLayer>,
    decoder_norm: Norm,
    to_pieces: Linear,
    heads: usize,
    width: usize,
}

/// What the decoder needs of the sound: keys (heads, dimension, frames) and values (heads, frames, dimension) of each
/// layer.
pub(super) struct Sound(Vec<(Tensor, Tensor)>);

/// What the decoder remembers of the texts so far: keys and values of each layer, (texts, heads, pieces, dimension).
pub(super) struct Memory {
    layers: Vec<Option<(Tensor, Tensor)>>,
    pieces: usize,
}

impl Memory {
    /// The memory of texts that go on from these, by their numbers.
    pub(super) fn of_texts(self, texts: &[usize]) -> Result<Memory, Error> {
        let unchanged = texts.iter().copied().eq(0..self.texts()?);
        if unchanged {
            return Ok(self);
        }
        let from = texts
            .iter()
            .map(|text| u32::try_from(*text).expect("a few texts"))
            .collect::<Vec<u32>>();
        let from = Tensor::new(from, &Device::Cpu)?;
        let layers = self
            .layers
            .iter()
            .map(|layer| {
                let Some((keys, values)) = layer else { return Ok(None) };
                Ok(Some((keys.index_select(&from, 0)?, values.index_select(&from, 0)?)))
            })
            .collect::<candle_core::Result<_>>()?;
        Ok(Memory {
            layers,
            pieces: self.pieces,
        })
    }

    fn texts(&self) -> candle_core::Result<usize> {
        match self.layers.first() {
            Some(Some((keys, _))) => keys.dim(0),
            _ => Ok(1),
        }
    }
}

impl Model {
    /// Builds the network from its weights.
    pub(super) fn new(weights: &Weights) -> Result<Model, Error> {
        let convolution = |name: &str| -> Result<(Tensor, Tensor), Error> {
            let bias = weights.tensor(&format!("{name}/bias"))?;
            let channels = bias.dims1()?;
            Ok((
                weights.tensor(&format!("{name}/weight"))?,
                bias.reshape((1, channels, 1))?,
            ))
        };
        let layers = |half: &'static str| {
            (0..)
                .map(move |at: usize| format!("{half}/layer_{at}"))
                .take_while(|name| weights.has(&format!("{name}/ffn/linear_0/weight")))
        };
        let pieces = weights.tensor("decoder/embeddings/weight")?;
        let (_, width) = pieces.dims2()?;
        let heads = weights.number("encoder/num_heads")?;
        if heads == 0 || width % heads != 0 {
            return Err(Error::Form(format!("{heads} heads for a width of {width}")));
        }
        Ok(Model {
            convolutions: [convolution("encoder/conv1")?, convolution("encoder/conv2")?],
            encoder_places: weights.tensor("encoder/position_encodings/encodings")?,
            encoder: layers("encoder")
                .map(|name| {
                    Ok(EncoderLayer {
                        to_itself: ToItself::read(weights, &name, false)?,
                        mix: Mix::read(weights, &name, false)?,
                    })
                })
                .collect::<Result<_, Error>>()?,
            encoder_norm: Norm::read(weights, "encoder")?,
            decoder_places: weights.tensor("decoder/position_encodings/encodings")?,
            decoder: layers("decoder")
                .map(|name| {
                    Ok(DecoderLayer {
                        to_itself: ToItself::read(weights, &name, true)?,
                        to_sound: ToSound::read(weights, &name)?,
                        mix: Mix::read(weights, &name, true)?,
                    })
                })
                .collect::<Result<_, Error>>()?,
            decoder_norm: Norm::read(weights, "decoder")?,
            to_pieces: Linear::new(pieces.clone(), None, true)?,
            pieces,
            heads,
            width,
        })
    }

    /// Most pieces that a text may have, what comes before it included.
    pub(super) fn pieces_max(&self) -> usize {
        self.decoder_places.dims().first().copied().unwrap_or(0)
    }

    /// Most frames of features that the encoder looks at.
    pub(super) fn frames_max(&self) -> usize {
        2 * self.encoder_places.dims().first().copied().unwrap_or(0)
    }

    /// How many pieces there are.
    pub(super) fn vocabulary(&self) -> usize {
        self.pieces.dims().first().copied().unwrap_or(0)
    }

    fn scale(&self) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a width below two thousand")]
        let width = (self.width / self.heads) as f64;
        width.powf(-0.5)
    }

    /// Looks at features, band after band over an even number of frames.
    pub(super) fn listen(&self, features: Vec<f32>, frames: usize) -> Result<Sound, Error> {
        let (heads, depth) = (self.heads, self.width / self.heads);
        let mut x = Tensor::from_vec(features, (1, BANDS, frames), &Device::Cpu)?;
        for ((weight, bias), stride) in self.convolutions.iter().zip([1, 2]) {
            x = x.conv1d(weight, 1, stride, 1, 1)?.broadcast_add(bias)?.gelu()?;
        }
        let x = x.squeeze(0)?.t()?.contiguous()?;
        let time = x.dim(0)?;
        let mut x = (x + self.encoder_places.narrow(0, 0, time)?)?;
        for layer in &self.encoder {
            let all = layer
                .to_itself
                .queries_keys_values
                .forward(&layer.to_itself.norm.forward(&x)?)?;
            let all = all.reshape((time, 3, heads, depth))?.permute((1, 2, 0, 3))?;
            let queries = (all.i(0)?.contiguous()? * self.scale())?;
            let (keys, values) = (all.i(1)?.contiguous()?, all.i(2)?.contiguous()?);
            let attention = softmax_last_dim(&queries.matmul(&keys.t()?)?)?;
            let seen = attention
                .matmul(&values)?
                .transpose(0, 1)?
                .reshape((time, self.width))?;
            x = layer.mix.forward((x + layer.to_itself.out.forward(&seen)?)?)?;
        }
        let x = self.encoder_norm.forward(&x)?;
        let layers = self.decoder.iter().map(|layer| {
            let both = layer
                .to_sound
                .keys_values
                .forward(&x)?
                .reshape((time, 2, heads, depth))?;
            let keys = both.i((.., 0))?.permute((1, 2, 0))?.contiguous()?;
            let values = both.i((.., 1))?.transpose(0, 1)?.contiguous()?;
            Ok((keys, values))
        });
        Ok(Sound(layers.collect::<candle_core::Result<_>>()?))
    }

    /// An empty memory of one text.
    pub(super) fn memory(&self) -> Memory {
        Memory {
            layers: vec![None; self.decoder.len()],
            pieces: 0,
        }
    }

    /// Takes in the next pieces of each of so many texts (first text first, as many pieces of each) and gives, for each
    /// piece taken in, how likely every piece is to follow: unnormalised logarithms, a row for each.
    pub(super) fn say(
        &self,
        sound: &Sound,
        memory: &mut Memory,
        pieces: &[u32],
        texts: usize,
    ) -> Result<Vec<Vec<f32>>, Error> {
        let count = pieces.len() / texts;
        let rows = texts * count;
        let places = self.decoder_places.narrow(0, memory.pieces, count)?;
        let x = self.pieces.index_select(&Tensor::new(pieces, &Device::Cpu)?, 0)?;
        let x = x.reshape((texts, count, self.width))?.broadcast_add(&places)?;
        let mut x = x.reshape((rows, self.width))?;
        let mask = later_pieces(memory.pieces, count)?;
        for (at, layer) in self.decoder.iter().enumerate() {
            x = self.recall(layer, &mut memory.layers[at], mask.as_ref(), &x, texts)?;
            x = self.attend(layer, &sound.0[at], &x, rows)?;
            x = layer.mix.forward(x)?;
        }
        memory.pieces += count;
        let likely = self.to_pieces.forward(&self.decoder_norm.forward(&x)?)?;
        Ok(likely.to_vec2()?)
    }

    /// Attention to the text so far, which grows by what is taken in.
    fn recall(
        &self,
        layer: &DecoderLayer,
        memory: &mut Option<(Tensor, Tensor)>,
        mask: Option<&Tensor>,
        x: &Tensor,
        texts: usize,
    ) -> Result<Tensor, Error> {
        let (heads, depth) = (self.heads, self.width / self.heads);
        let count = x.dim(0)? / texts;
        let own = &layer.to_itself;
        let all = own.queries_keys_values.forward(&own.norm.forward(x)?)?;
        let all = all.reshape((texts, count, 3, heads, depth))?.permute((2, 0, 3, 1, 4))?;
        let queries = (all.i(0)?.contiguous()? * self.scale())?;
        let (mut keys, mut values) = (all.i(1)?.contiguous()?, all.i(2)?.contiguous()?);
        if let Some((keys_before, values_before)) = memory.take() {
            keys = Tensor::cat(&[&keys_before, &keys], 2)?;
            values = Tensor::cat(&[&values_before, &values], 2)?;
        }
        let mut scores = queries.matmul(&keys.t()?)?;
        if let Some(mask) = mask {
            scores = scores.broadcast_add(mask)?;
        }
        let seen = softmax_last_dim(&scores)?.matmul(&values)?;
        *memory = Some((keys, values));
        let seen = seen.transpose(1, 2)?.reshape((texts * count, self.width))?;
        Ok((x + own.out.forward(&seen)?)?)
    }

    /// Attention to the sound.
    fn attend(
        &self,
        layer: &DecoderLayer,
        (keys, values): &(Tensor, Tensor),
        x: &Tensor,
        rows: usize,
    ) -> Result<Tensor, Error> {
        let (heads, depth) = (self.heads, self.width / self.heads);
        let queries = layer.to_sound.queries.forward(&layer.to_sound.norm.forward(x)?)?;
        let queries = queries.reshape((rows, heads, depth))?.transpose(0, 1)?.contiguous()?;
        let attention = softmax_last_dim(&(queries * self.scale())?.matmul(keys)?)?;
        let seen = attention.matmul(values)?.transpose(0, 1)?.reshape((rows, self.width))?;
        Ok((x + layer.to_sound.out.forward(&seen)?)?)
    }
}

/// Keeps pieces that are taken in together from seeing those after them; nothing to keep when it is one.
fn later_pieces(before: usize, count: usize) -> Result<Option<Tensor>, Error> {
    if count == 1 {
        return Ok(None);
    }
    let row =
        |piece: usize| (0..before + count).map(move |seen| if seen > before + piece { f32::NEG_INFINITY } else { 0.0 });
    let mask: Vec<f32> = (0..count).flat_map(row).collect();
    Ok(Some(Tensor::from_vec(mask, (count, before + count), &Device::Cpu)?))
}
