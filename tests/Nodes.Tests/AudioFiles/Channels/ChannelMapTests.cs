using Xunit;
using static RenderGraph.Nodes.Tests.AudioFiles.Wave.WaveBytes;

namespace RenderGraph.Nodes.Tests.AudioFiles.Channels;

/// <summary>Which channels of a file a stem gets.</summary>
public sealed class ChannelMapTests
{
    private static readonly byte[] Four = File([Format(channels: 4), Data(1, 2, 3, 4, 11, 12, 13, 14)]);

    [Theory]
    [InlineData("2", "2,12", "16-bit PCM, channel 2 of 4")]
    [InlineData("3,4", "3,13;4,14", "16-bit PCM, channels 3 and 4 of 4")]
    [InlineData("4,1", "4,14;1,11", "16-bit PCM, channels 4 and 1 of 4")]
    [InlineData("2,2", "2,12;2,12", "16-bit PCM, channels 2 and 2 of 4")]
    public void TheChannelsAskedForAreTaken(string channels, string expected, string encoding)
    {
        using var folder = new TempFolder();
        var opened = Opened.At(folder.Put("stem.wav", Four), channels: [.. channels.Split(',').Select(int.Parse)]);

        Assert.Empty(opened.Said);
        Assert.Equal(encoding, opened.Format!.Encoding);
        var planes = expected.Split(';');
        Assert.Equal(planes.Length, opened.Format.Channels);
        for (var channel = 0; channel < planes.Length; channel++)
            Assert.Equal(planes[channel].Split(',').Select(value => int.Parse(value) / 32768.0), opened.Samples[channel].ToArray());
    }

    [Fact]
    public void ChannelsThatAreNotThereAreRefused()
    {
        using var folder = new TempFolder();
        var path = folder.Put("stem.wav", Four);
        var mono = folder.Put("mono.wav", File([Format(), Data(1)]));

        Assert.Equal("RG307: the graph asks for its channel 5, but it has 4 channels. Count from 1 to 4.", Assert.Single(Opened.At(path, channels: [1, 5]).Said));
        Assert.Equal("RG307: the graph asks for its channel 2, but it has 1 channel. Leave out \"channels\".", Assert.Single(Opened.At(mono, channels: [2]).Said));
    }

    [Fact]
    public void SpeakersWithoutAnAgreedDownMixMustBePicked()
    {
        using var folder = new TempFolder();
        var path = folder.Put("stem.wav", File([Extensible(channels: 3, mask: 0x1003), Data(1, 2, 3)]));

        Assert.Equal(
            "RG307: it has 3 channels, and there is no agreed down-mix of these. Give the stem \"channels\": [1, 2], or those that you want; one makes it mono.",
            Assert.Single(Opened.At(path).Said));
    }
}
