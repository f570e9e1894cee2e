// The scale of the dome dial: steps of five. Changes on the falling edge; no reset, the
// initial value makes the beginning.
module five_minutes (
    input  wire       clk,
    input  wire       step,
    output wire [5:0] minutes
);
    reg [5:0] position = 6'd0;

    always @(negedge clk)
        if (step)
            position <= (position > 6'd55) ? 6'd0 : position + 6'd5;

    assign minutes = position;
endmodule
