// 32,768 Hz watch crystal to a 1 Hz square wave for the colon of the display.
module second_blinker #(
    parameter int RATIO = 32_768
) (
    input  logic clk,
    input  logic rst,             // synchronous, active high
    output logic blink
);
    localparam int HALF = RATIO / 2;

    logic [12:0] count;

    always_ff @(posedge clk)
        if (rst) begin
            count <= '0;
            blink <= 1'b0;
        end else if (count == 13'(HALF - 1)) begin
            count <= '0;
            blink <= ~blink;
        end else
            count <= count + 1'b1;
endmodule
