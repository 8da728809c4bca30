using System.Globalization;
using RenderGraph.Graph.Contracts;
using Xunit;

namespace RenderGraph.Graph.Tests.Stubs;

/// <summary>What a test says of a sound.</summary>
internal static class Sound
{
    /// <summary>Every sample is the same number. A zero's sign counts for nothing: spared silence has none, and no file keeps it.</summary>
    public static void AssertEqual(Signal expected, Signal actual, string what = "sound")
    {
        Assert.Equal((what, expected.Channels, expected.Frames), (what, actual.Channels, actual.Frames));
        for (var channel = 0; channel < expected.Channels; channel++)
        {
            for (var frame = 0; frame < expected.Frames; frame++)
            {
                if (expected[channel][frame] != actual[channel][frame])
                {
                    Assert.Fail(string.Create(
                        CultureInfo.InvariantCulture,
                        $"{what}: channel {channel} frame {frame} is {actual[channel][frame]:R}, but {expected[channel][frame]:R} was wanted"));
                }
            }
        }
    }
}
