using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Measuring;
using Xunit;

namespace RenderGraph.Graph.Tests.Measuring;

public sealed class SampleDifferenceTests
{
    private const int Frames = 50_000;

    private static Held Song(int channels = 2, int frames = Frames) => new(Testing.Signals.Fill(channels, frames, (channel, frame) => Math.Sin(frame * 0.01 * (channel + 1))));

    private static SampleDifference? Between(Held one, Held other) => SampleDifference.Between(one, other, CancellationToken.None);

    [Fact]
    public void EqualRecordingsDifferNowhere() => Assert.Equal(new(0, null, 0, null), Between(Song(), Song()));

    [Fact]
    public void TellsTheFirstFrameTheLargestDifferenceAndHowManySamples()
    {
        var other = Song();
        other.Sound[1][40_000] += 0.25;
        other.Sound[0][20_000] -= 0.125;
        other.Sound[0][49_999] += 0.0625;
        var found = Between(Song(), other)!;
        Assert.Equal((3, 20_000, 40_000), (found.SampleCount, found.FirstFrame, found.PeakFrame));
        Assert.Equal(0.25, found.PeakAmplitude, 1e-12);
    }

    [Fact]
    public void OtherShapesHaveNoCounterparts()
    {
        Assert.Null(Between(Song(), Song(channels: 1)));
        Assert.Null(Between(Song(), Song(frames: Frames - 1)));
    }

    private sealed class Held(Signal sound) : IStemReader
    {
        public Signal Sound => sound;

        public StemFormat Format => new(48_000, sound.Channels, sound.Frames, "doubles");

        public void Read(long startFrame, Signal into)
        {
            for (var channel = 0; channel < into.Channels; channel++)
            {
                for (var frame = 0; frame < into.Frames; frame++)
                    into[channel][frame] = startFrame + frame < sound.Frames ? sound[channel][(int)startFrame + frame] : 0;
            }
        }

        public void Dispose()
        {
            // Nothing is open.
        }
    }
}
