using NAudio.Wave;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.AudioFiles;
using Xunit;

namespace RenderGraph.Nodes.Tests.AudioFiles.Writing;

public sealed class RoundTripTests
{
    [Theory]
    [InlineData(SampleEncoding.Pcm16, 1, "16-bit PCM")]
    [InlineData(SampleEncoding.Pcm16, 2, "16-bit PCM")]
    [InlineData(SampleEncoding.Pcm24, 1, "24-bit PCM")]
    [InlineData(SampleEncoding.Pcm24, 2, "24-bit PCM")]
    [InlineData(SampleEncoding.Pcm32, 1, "32-bit PCM")]
    [InlineData(SampleEncoding.Pcm32, 2, "32-bit PCM")]
    [InlineData(SampleEncoding.Float32, 1, "32-bit float")]
    [InlineData(SampleEncoding.Float32, 2, "32-bit float")]
    public void ComesBackWithinOneAndAHalfStepsAndToNAudioAlike(SampleEncoding encoding, int channels, string words)
    {
        using var folder = new TempFolder();
        var signal = Noise(channels, 5003, seed: 7);

        var summary = Written.To(folder["out.wav"], encoding, signal);

        var opened = Opened.At(folder["out.wav"]);
        Assert.Empty(opened.Said);
        Assert.Equal(new StemFormat(48000, channels, 5003, words), opened.Format);
        Assert.Equal(5003, summary.Frames);
        Assert.Equal("WAV", summary.Container);

        // Rounding half a step, dither one; of floats, half of the last of 24 bits.
        var tolerance = encoding switch
        {
            SampleEncoding.Pcm16 => 1.5 / 32768,
            SampleEncoding.Pcm24 => 1.5 / 8388608,
            SampleEncoding.Pcm32 => 1.5 / 2147483648,
            _ => 1.0 / 33554432,
        };
        using var judge = new WaveFileReader(folder["out.wav"]);
        Assert.Equal(5003, judge.SampleCount);
        var judged = new float[channels * 5003];
        Assert.Equal(judged.Length, judge.ToSampleProvider().Read(judged));
        for (var frame = 0; frame < signal.Frames; frame++)
        {
            for (var channel = 0; channel < channels; channel++)
            {
                Assert.InRange(opened.Samples[channel][frame] - signal[channel][frame], -tolerance, tolerance);
                Assert.Equal((float)opened.Samples[channel][frame], judged[(frame * channels) + channel]);
            }
        }
    }

    private static Signal Noise(int channels, int frames, int seed)
    {
        var random = new Random(seed);
        var signal = Signal.Allocate(channels, frames);
        for (var channel = 0; channel < channels; channel++)
        {
            foreach (ref var sample in signal[channel])
                sample = (random.NextDouble() * 1.9) - 0.95;
        }

        return signal;
    }
}
