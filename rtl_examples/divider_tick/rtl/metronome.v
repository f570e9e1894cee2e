// Metronome of the dome motor: in its last clock of every RATIO enabled ones the tick is high.
// Clear begins a new period, whether enabled or not.
module metronome #(
    parameter RATIO = 250
) (
    input  wire clk,
    input  wire rst_n,            // asynchronous, active low
    input  wire enable,
    input  wire clear,
    output wire tick
);
    reg [7:0] count;

    assign tick = enable && count == RATIO - 1;

    always @(posedge clk or negedge rst_n)
        if (!rst_n)
            count <= 8'd0;
        else if (clear || tick)
            count <= 8'd0;
        else if (enable)
            count <= count + 8'd1;
endmodule
