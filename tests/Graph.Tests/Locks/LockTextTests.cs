using System.Text;
using System.Text.Json;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Graph.Locks;
using Xunit;

namespace RenderGraph.Graph.Tests.Locks;

public sealed class LockTextTests
{
    private static string Text(RenderLock render) => Encoding.UTF8.GetString(LockWriter.Write(render));

    private static RenderLock Read(string text)
    {
        var faults = new DiagnosticList();
        var render = LockReader.Read("song.lock.json", Encoding.UTF8.GetBytes(text), faults);
        Assert.Empty(faults.InOrder);
        return render!;
    }

    private static string Refusal(string text)
    {
        var faults = new DiagnosticList();
        Assert.Null(LockReader.Read("song.lock.json", Encoding.UTF8.GetBytes(text), faults));
        return Assert.Single(faults.InOrder).ToString();
    }

    [Fact]
    public void WhatIsReadIsWhatWasWrittenToTheLastBitOfEveryNumber()
    {
        var render = SampleLock.Make();
        var back = Read(Text(render));
        Assert.Equal(render.Graph, back.Graph);
        Assert.Equal(render.Inputs, back.Inputs);
        Assert.Equal(render.Outputs, back.Outputs);
        Assert.Equal((render.Anchor!.StartFrame, render.Anchor.Frequency), (back.Anchor!.StartFrame, back.Anchor.Frequency));
        Assert.Equal(render.Anchor.Hits, back.Anchor.Hits);
        Assert.Equal(render.Figures.SelectMany(node => node.Figures), back.Figures.SelectMany(node => node.Figures));
        Assert.Equal(render.Measures.Select(point => point.Point), back.Measures.Select(point => point.Point));
        Assert.Equal(render.Measures.SelectMany(point => point.Measurements), back.Measures.SelectMany(point => point.Measurements));
        Assert.Equal(render.Gates, back.Gates);
        Assert.Equal(render.Findings, back.Findings);
        Assert.Equal(Text(render), Text(back));
    }

    [Fact]
    public void KeysStandInAFixedOrderAndNamesAreSortedWhateverOrderTheyCameIn()
    {
        var render = SampleLock.Make();
        var turned = render with
        {
            Inputs = render.Inputs.Reverse().ToDictionary(),
            Graph = render.Graph.Reverse().ToDictionary(),
            ConvertedFromHz = render.ConvertedFromHz.Reverse().ToDictionary(),
        };
        Assert.Equal(Text(render), Text(turned));

        using var json = JsonDocument.Parse(Text(render));
        Assert.Equal(
            ["lockFormat", "engineVersion", "graphXxh128", "outsideAllowed", "sampleRateHz", "latencyFrames", "inputs", "convertedFromHz", "anchor", "graph", "outputs", "figures", "measures", "gates", "findings"],
            json.RootElement.EnumerateObject().Select(member => member.Name));
        foreach (var sorted in (string[])["inputs", "graph"])
        {
            var names = json.RootElement.GetProperty(sorted).EnumerateObject().Select(member => member.Name).ToList();
            Assert.Equal(names.Order(StringComparer.Ordinal), names);
        }
    }

    [Fact]
    public void OneValueThatChangesIsOneLineThatChanges()
    {
        var render = SampleLock.Make();
        var changed = Text(render with { Graph = render.Graph.ToDictionary(value => value.Key, value => value.Key == "nodes/room/depthDb" ? "7" : value.Value) });
        var (before, after) = (Text(render).Split('\n'), changed.Split('\n'));
        Assert.Equal(before.Length, after.Length);
        Assert.Equal(["        \"depthDb\": 7,"], after.Except(before));
        Assert.Equal(["        \"depthDb\": 9,"], before.Except(after));
        Assert.Contains("      [28800, 0.35]", before);
    }

    [Fact]
    public void AnotherFormatHasAMessageOfItsOwn() => Assert.Equal(
        "song.lock.json:2:17: RG314: the lock is of format 2, but this version reads format 1 only. Use the version that wrote it, or delete it: the next render measures and writes it anew.",
        Refusal("{\n  \"lockFormat\": 2, \"anything\": true }"));

    [Fact]
    public void WhatIsNoLockIsRefusedInOneSentence()
    {
        var text = Text(SampleLock.Make());
        Assert.StartsWith("song.lock.json:", Refusal(text[..(text.Length / 2)]), StringComparison.Ordinal);
        Assert.Equal("song.lock.json: RG314: the lock is damaged: \"lockFormat\" is missing, or of the wrong kind. Delete the lock: the next render measures and writes it anew.", Refusal("{}"));
        Assert.Contains("an object was wanted", Refusal("[]"), StringComparison.Ordinal);
        Assert.Contains("\"engineVersion\" is missing", Refusal("{ \"lockFormat\": 1, \"graph\": {} }"), StringComparison.Ordinal);
        Assert.Contains("is no output: the path leaves the folder", Refusal(text.Replace("\"mix.wav\": {", "\"../mix.wav\": {", StringComparison.Ordinal)), StringComparison.Ordinal);
    }

    [Fact]
    public void EveryMemberLeftOutIsAFaultOrAnEmptyListButNeverACrash()
    {
        using var json = JsonDocument.Parse(Text(SampleLock.Make()));
        foreach (var left in json.RootElement.EnumerateObject().Select(member => member.Name).ToList())
        {
            var rest = json.RootElement.EnumerateObject().Where(member => member.Name != left).Select(member => $"\"{member.Name}\": {member.Value.GetRawText()}");
            var faults = new DiagnosticList();
            var render = LockReader.Read("song.lock.json", Encoding.UTF8.GetBytes($"{{ {string.Join(',', rest)} }}"), faults);
            Assert.Equal(render is null, faults.HasErrors);
        }
    }
}
