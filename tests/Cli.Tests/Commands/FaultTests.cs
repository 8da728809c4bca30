using System.Buffers.Binary;
using System.Text;
using Xunit;

namespace RenderGraph.Cli.Tests.Commands;

/// <summary>Each kind of fault with its exit code and its whole message; nothing is written and no trace is shown.</summary>
public sealed class FaultTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public FaultTests()
    {
        WaveFile.Write(_folder["kick.wav"], WaveFile.Tone());
        Graph("song.json", "kick.wav");
    }

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("nowhere-to-be-found.json", 3, "nowhere-to-be-found.json: RG306: the graph's file is not there. Check the path; it counts from the folder that the command runs in.")]
    [InlineData("songs.json", 3, "songs.json: RG306: the graph's file is not there. Did you mean song.json?")]
    [InlineData("folder", 3, "folder: RG306: this is a folder, but a graph is a file. Name the graph's file in it.")]
    public void AGraphThatCannotBeReadIsCode3(string graph, int exitCode, string message)
    {
        Directory.CreateDirectory(_folder["folder"]);
        foreach (var command in new[] { "render", "check", "plan" })
            Refuses(exitCode, message, command, _folder[graph]);
    }

    [Fact]
    public void AGraphThatIsWrongIsCode2()
    {
        var graph = _folder.Write("wrong.json", File.ReadAllText(_folder["song.json"]).Replace("[\"a\"]", "[\"aa\"]", StringComparison.Ordinal));
        foreach (var command in new[] { "render", "check", "plan" })
        {
            Refuses(
                2, "wrong.json:4:45: RG202: node \"mix\" takes from \"aa\", but no stem, node or step has that name. Write one of the names that there are: a.",
                command, graph);
        }
    }

    [Fact]
    public void AStemThatIsMissingOrNoAudioIsCode3()
    {
        Graph("missing.json", "kik.wav");
        Refuses(3, "missing.json:3:29: RG301: stem \"a\" (kik.wav): there is no such file. Did you mean \"kick.wav\"?", "render", _folder["missing.json"]);
        _folder.Write("words.wav", "la la la");
        Graph("words.json", "words.wav");
        Assert.Equal(3, RefusedWith("RG303", "render", _folder["words.json"]));
    }

    [Fact]
    public void AStemWithASampleThatIsNoNumberIsCode3()
    {
        var samples = Enumerable.Repeat(0.25f, 100).ToArray();
        samples[50] = float.NaN;
        File.WriteAllBytes(_folder["nan.wav"], Float32(samples));
        Graph("nan.json", "nan.wav");
        const string Message = "nan.wav: RG305: frame 50 (0.001 s) holds a sample that is not a finite number. "
            + "Export it again; a plug-in of the session that made it has probably failed there.";
        Refuses(3, Message, "render", _folder["nan.json"], "--out", _folder["out"]);
        Assert.False(Directory.Exists(_folder["out"]));
    }

    [Fact]
    public void AStemThatIsCutIsToldAboutAndRenderedAsFarAsItGoes()
    {
        var whole = File.ReadAllBytes(_folder["kick.wav"]);
        File.WriteAllBytes(_folder["cut.wav"], whole[..(whole.Length - 4800)]);
        Graph("cut.json", "cut.wav");
        var run = CommandRun.Of("render", _folder["cut.json"]).Without(_folder.Path);
        Assert.Equal(0, run.ExitCode);
        Assert.Equal(
            "cut.json:3:29: RG304: warning: stem \"a\" (cut.wav): it ends early: its header tells of 4,800 frames, 2,400 are there, 2,400 (0.050 s) are missing. "
            + "Copy or export it again; without the rest, silence follows.\n",
            run.Error);
    }

    [Fact]
    public void AStemThatIsWrittenToWhileItIsReadIsCode3AndTheOldOutputStays()
    {
        _folder.Write("mix.wav", "the mix of yesterday");
        var files = new WatchedFiles { AfterRead = path => File.SetLastWriteTimeUtc(path, new DateTime(2024, 2, 29, 12, 0, 0, DateTimeKind.Utc)) };
        var before = _folder.Names;
        var run = CommandRun.Of(files, CancellationToken.None, "render", _folder["song.json"]).Without(_folder.Path);
        Assert.Equal(
            "kick.wav: RG304: the file was written to while it was read, so the sound may be half old and half new. Render again when nothing writes to it any more.\n", run.Error);
        Assert.Equal(3, run.ExitCode);
        Assert.Equal(before, _folder.Names);
        Assert.Equal("the mix of yesterday", File.ReadAllText(_folder["mix.wav"]));
    }

    [Fact]
    public void AStemThatIsCutWhileItIsReadIsCode3AndNothingIsWritten()
    {
        var files = new WatchedFiles
        {
            AfterRead = path =>
            {
                using var file = new FileStream(path, FileMode.Open, FileAccess.Write, FileShare.ReadWrite);
                file.SetLength(60);
            },
        };
        var before = _folder.Names;
        var run = CommandRun.Of(files, CancellationToken.None, "render", _folder["song.json"], "--block-frames", "64", "--threads", "1").Without(_folder.Path);
        Assert.Equal("kick.wav: RG304: the file has become shorter since it was opened: byte 60 is gone. Render again when nothing writes to it any more.\n", run.Error);
        Assert.Equal(3, run.ExitCode);
        Assert.Equal(before, _folder.Names);
    }

    [Fact]
    public void AStemThatIsRemovedWhileItIsReadIsStillReadWhole()
    {
        if (OperatingSystem.IsWindows())
            return; // nothing that is open can be removed there
        var whole = CommandRun.Of("render", _folder["song.json"], "--out", _folder["whole"]);
        var files = new WatchedFiles { AfterRead = File.Delete };
        var run = CommandRun.Of(files, CancellationToken.None, "render", _folder["song.json"], "--out", _folder["removed"], "--block-frames", "64");
        Assert.Equal((0, 0), (whole.ExitCode, run.ExitCode));
        Assert.False(File.Exists(_folder["kick.wav"]));
        Assert.Equal(File.ReadAllBytes(Path.Combine(_folder["whole"], "mix.wav")), File.ReadAllBytes(Path.Combine(_folder["removed"], "mix.wav")));
    }

    [Fact]
    public void AStemThatComesSlowlyGivesTheSameBytes()
    {
        Assert.Equal(0, CommandRun.Of("render", _folder["song.json"], "--out", _folder["quick"]).ExitCode);
        var reads = 0;
        var files = new WatchedFiles { AfterRead = _ => Thread.Sleep(Interlocked.Increment(ref reads) % 7) };
        Assert.Equal(0, CommandRun.Of(files, CancellationToken.None, "render", _folder["song.json"], "--out", _folder["slow"], "--block-frames", "64", "--threads", "4").ExitCode);
        Assert.True(reads > 50);
        Assert.Equal(File.ReadAllBytes(Path.Combine(_folder["quick"], "mix.wav")), File.ReadAllBytes(Path.Combine(_folder["slow"], "mix.wav")));
    }

    /// <summary>The system's own word for it: at every read, each handle on a stem is one for reading only. <c>tests/Faults/run.sh</c> asks strace as well.</summary>
    [Fact]
    public void NoStemIsEverOpenForWriting()
    {
        if (!OperatingSystem.IsLinux())
            return;
        var handles = 0;
        var files = new WatchedFiles { AfterRead = Look };
        Assert.Equal(0, CommandRun.Of(files, CancellationToken.None, "render", _folder["song.json"], "--block-frames", "64").ExitCode);
        Assert.True(handles > 50);

        void Look(string stem)
        {
            foreach (var link in Directory.EnumerateFileSystemEntries("/proc/self/fd"))
            {
                if (new FileInfo(link).LinkTarget != stem)
                    continue;
                var flags = File.ReadLines("/proc/self/fdinfo/" + Path.GetFileName(link)).First(line => line.StartsWith("flags:", StringComparison.Ordinal));
                Assert.Equal('0', flags[^1]); // octal; the last digit is O_RDONLY 0, O_WRONLY 1 or O_RDWR 2 (open(2))
                Interlocked.Increment(ref handles);
            }
        }
    }

    [Fact]
    public void AStemOutsideTheGraphsFolderIsCode2UnlessItIsAllowed()
    {
        Directory.CreateDirectory(_folder["shared"]);
        Graph(Path.Combine("shared", "song.json"), "../kick.wav");
        var graph = _folder[Path.Combine("shared", "song.json")];
        var message = $"{Path.Combine("shared", "song.json")}:3:29: RG212: stem \"a\" (../kick.wav): the path leaves the graph's folder. Put the file there, or, if you trust the graph, say --allow-outside.";
        foreach (var command in new[] { "render", "check", "plan" })
        {
            Refuses(2, message, command, graph);
            Assert.Equal(0, CommandRun.Of(command, graph, "--allow-outside").ExitCode);
        }
    }

    [Fact]
    public void ALinkThatLeadsOutOfTheFolderIsCode2UnlessItIsAllowed()
    {
        if (OperatingSystem.IsWindows())
            return; // links need a right of their own there
        Directory.CreateDirectory(_folder["shared"]);
        Directory.CreateDirectory(_folder["elsewhere"]);
        File.CreateSymbolicLink(_folder[Path.Combine("shared", "linked.wav")], _folder["kick.wav"]);
        Directory.CreateSymbolicLink(_folder[Path.Combine("shared", "out")], _folder["elsewhere"]);
        var graph = _folder.Write(Path.Combine("shared", "song.json"), """
            {
              "format": 1,
              "stems": { "a": { "file": "linked.wav" } },
              "outputs": { "mix": { "in": "a", "file": "out/mix.wav" } }
            }
            """);
        Refuses(
            2,
            "shared/song.json:3:29: RG212: stem \"a\" (linked.wav): a link leads out of the graph's folder, to kick.wav. Put the file there, or, if you trust the graph, say --allow-outside.\n"
            + "shared/song.json:4:44: RG212: output \"mix\" (out/mix.wav): a link leads out of the folder of the outputs, to elsewhere/. Name another folder, or, if you trust the graph, say --allow-outside.",
            "render", graph);
        Assert.Equal(0, CommandRun.Of("render", graph, "--allow-outside").ExitCode);
        Assert.True(File.Exists(_folder[Path.Combine("elsewhere", "mix.wav")]));
    }

    [Fact]
    public void AFolderForOutputsThatIsAFileIsCode4()
    {
        _folder.Write("file", "");
        Refuses(4, "song.json: RG403: the folder for the outputs, file, is a file. Name a folder, or a place where one can be made.",
            "render", _folder["song.json"], "--out", _folder["file"]);
    }

    [Fact]
    public void AFolderForOutputsInsideAFileIsCode4()
    {
        _folder.Write("file", "");
        Refuses(4, $"song.json: RG403: the folder for the outputs, {Path.Combine("file", "in", "it")}, would lie in file, which is a file. Name a folder, or a place where one can be made.",
            "render", _folder["song.json"], "--out", _folder[Path.Combine("file", "in", "it")]);
    }

    [Fact]
    public void AnOutputThatIsAFolderIsCode4()
    {
        Directory.CreateDirectory(_folder["mix.wav"]);
        Assert.Equal(4, RefusedWith("RG404", "render", _folder["song.json"]));
    }

    [Theory]
    [InlineData("--only mixx", "song.json: RG202: only \"mixx\" shall be rendered, but no stem, node or step has that name. Did you mean \"mix\"?")]
    [InlineData("--from 30", "rendergraph render: --from 0:30.000 lies behind the end of the song, 0:00.100.")]
    [InlineData("--to 0", "rendergraph render: from 0:00.000 to 0:00.000 there is not one frame to write.")]
    [InlineData("--from 0.05 --to 0.050001", "rendergraph render: from 0:00.050 to 0:00.050 there is not one frame to write.")]
    [InlineData("--from -5", "rendergraph render: --from is \"-5\", but a time was wanted: seconds (12.5) or minutes and seconds (0:12.5).")]
    [InlineData("--to 1e3", "rendergraph render: --to is \"1e3\", but a time was wanted: seconds (12.5) or minutes and seconds (0:12.5).")]
    [InlineData("--to 1:2:3", "rendergraph render: --to is \"1:2:3\", but a time was wanted: seconds (12.5) or minutes and seconds (0:12.5).")]
    [InlineData("--threads -1", "rendergraph render: --threads is \"-1\", but a whole number from 1 to 256 was wanted.")]
    [InlineData("--block-frames 99999999999", "rendergraph render: --block-frames is \"99999999999\", but a whole number from 16 to 65536 was wanted.")]
    [InlineData("--from 0.01 --from", "rendergraph render: --from is given twice. Leave one out.")]
    [InlineData("--json --json", "rendergraph render: --json is given twice. Leave one out.")]
    [InlineData("--trheads 2", "rendergraph render: there is no option \"--trheads\". Did you mean --threads?")]
    [InlineData("--out=", "rendergraph render: --out needs a value: a folder.")]
    [InlineData("--only=", "rendergraph render: --only needs a value: the name of a stem, a node or a step.")]
    public void AWrongOptionIsCode2AndWritesNothing(string options, string message) =>
        Refuses(2, message, ["render", _folder["song.json"], .. options.Split(' ')]);

    [Theory]
    [InlineData("rendergraph: there is no command \"\". See rendergraph --help.", "")]
    [InlineData("rendergraph render: GRAPH is empty. Name the graph's file.", "render", "")]
    [InlineData("rendergraph check: GRAPH is empty. Name the graph's file.", "check", " ")]
    [InlineData("rendergraph render: --out is empty. Leave it out, or give it a value.", "render", "song.json", "--out", "")]
    [InlineData("rendergraph render: --only is empty. Leave it out, or give it a value.", "render", "song.json", "--only", "")]
    [InlineData("rendergraph nodes: there is no node \"\". See rendergraph nodes.", "nodes", "")]
    [InlineData("rendergraph: there is no command \"frobnicate\". See rendergraph --help.", "frobnicate")]
    [InlineData("rendergraph: there is no option \"--json\". See rendergraph --help.", "--json")]
    [InlineData("rendergraph demo: there is no further argument \"x\". See rendergraph demo --help.", "demo", "x")]
    public void OddArgumentsAreCode2(string message, params string[] arguments) => Refuses(2, message, arguments);

    private void Graph(string name, string stem) => _folder.Write(name, $$"""
        {
          "format": 1,
          "stems": { "a": { "file": "{{stem}}" } },
          "nodes": { "mix": { "type": "mix", "in": ["a"] } },
          "outputs": { "mix": { "in": "mix", "file": "mix.wav" } }
        }
        """);

    private void Refuses(int exitCode, string message, params string[] arguments)
    {
        var before = _folder.Names;
        var run = CommandRun.Of(arguments).Without(_folder.Path);
        Assert.Equal(message + "\n", run.Error);
        Assert.Empty(run.Out);
        Assert.Equal(exitCode, run.ExitCode);
        Assert.Equal(before, _folder.Names);
    }

    /// <summary>The exit code, after a look at a message whose words are tested elsewhere.</summary>
    private int RefusedWith(string code, params string[] arguments)
    {
        var before = _folder.Names;
        var run = CommandRun.Of(arguments).Without(_folder.Path);
        Assert.Matches($@"^\S+: {code}: [^\n]+\.\n$", run.Error);
        Assert.Equal(before, _folder.Names);
        return run.ExitCode;
    }

    private static byte[] Float32(float[] samples)
    {
        var bytes = new byte[44 + (4 * samples.Length)];
        Encoding.ASCII.GetBytes("RIFF").CopyTo(bytes, 0);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(4), bytes.Length - 8);
        Encoding.ASCII.GetBytes("WAVEfmt ").CopyTo(bytes, 8);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(16), 16);
        BinaryPrimitives.WriteInt16LittleEndian(bytes.AsSpan(20), 3); // IEEE float
        BinaryPrimitives.WriteInt16LittleEndian(bytes.AsSpan(22), 1);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(24), 48_000);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(28), 4 * 48_000);
        BinaryPrimitives.WriteInt16LittleEndian(bytes.AsSpan(32), 4);
        BinaryPrimitives.WriteInt16LittleEndian(bytes.AsSpan(34), 32);
        Encoding.ASCII.GetBytes("data").CopyTo(bytes, 36);
        BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(40), 4 * samples.Length);
        for (var index = 0; index < samples.Length; index++)
            BinaryPrimitives.WriteSingleLittleEndian(bytes.AsSpan(44 + (4 * index)), samples[index]);
        return bytes;
    }
}
